import JSZip from 'jszip'

/**
 * An office package (ECMA-376, part 2) with the clock of the machine taken out: the day of making stands in the
 * properties, the files in the archive carry the first day that a ZIP archive knows. Pictures, which are compressed
 * already, are stored; `pictureFor` gives those that only held their place.
 */
export async function closedPackage(
  bytes: Uint8Array,
  date: string,
  pictureFor: (held: string) => Uint8Array | undefined = () => undefined,
): Promise<Uint8Array> {
  const zip = await JSZip.loadAsync(bytes)
  const fresh = new JSZip()
  const made = `${/^\d{4}-\d{2}-\d{2}$/.test(date) ? date : '1980-01-01'}T00:00:00Z`
  for (const [name, entry] of Object.entries(zip.files)) {
    if (entry.dir) continue
    const options = { date: new Date('1980-01-01T00:00:00Z'), createFolders: false }
    if (name === 'docProps/core.xml') {
      const properties = await entry.async('string')
      fresh.file(name, properties.replace(/\d{4}-\d{2}-\d{2}T[\d:.]+Z/g, made), options)
    } else if (name.endsWith('.png')) {
      const picture = pictureFor(await entry.async('string')) ?? (await entry.async('uint8array'))
      fresh.file(name, picture, { ...options, compression: 'STORE' })
    } else {
      fresh.file(name, await entry.async('uint8array'), options)
    }
  }
  return fresh.generateAsync({ type: 'uint8array', compression: 'DEFLATE', compressionOptions: { level: 6 } })
}
