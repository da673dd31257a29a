import type { Correction } from '../records/read/corrections.js'

/** The corrections of a file, or none where none is given. */
export async function correctionsOf(path: string | undefined): Promise<readonly Correction[]> {
  if (path === undefined) return []
  const { readCorrections } = await import('../records/read/corrections.js')
  return readCorrections(path)
}
