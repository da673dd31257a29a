import { access } from 'node:fs/promises'
import { whileAlone } from '../core/alone.js'
import { writeWhole } from '../core/wholeFiles.js'

/**
 * Writes files that must not take the place of others, each whole, and none where one of them cannot be written.
 *
 * @throws an error with the code EEXIST where one of them is there already
 */
export async function writeNewFiles(
  files: readonly (readonly [path: string, text: string])[],
): Promise<void> {
  await whileAlone(files[0]![0], async () => {
    for (const [path] of files) await refuseExisting(path)
    await writeWhole(files.map(([path, content]) => ({ path, content })))
  })
}

async function refuseExisting(path: string): Promise<void> {
  const isThere = await access(path).then(
    () => true,
    () => false,
  )
  if (isThere) throw Object.assign(new Error('there already'), { code: 'EEXIST' })
}
