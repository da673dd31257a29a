import type { Correction } from '../records/corrections.js'

/** The corrections of a file, or none where none is given. */
export async function correctionsOf(path: string | undefined): Promise<readonly Correction[]> {
  if (path === undefined) return []
  const { readCorrections } = await import('../records/corrections.js')
  return readCorrections(path)
}
