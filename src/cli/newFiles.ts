import { access, rename, rm, writeFile } from 'node:fs/promises'
import { whileAlone } from '../core/alone.js'

/**
 * Writes files that must not take the place of others, all of them or none: each beside its place first, then moved.
 *
 * @throws an error with the code EEXIST where one of them is there already
 */
export async function writeNewFiles(
  files: readonly (readonly [path: string, text: string])[],
): Promise<void> {
  await whileAlone(files[0]![0], async () => {
    for (const [path] of files) await refuseExisting(path)
    const moved: string[] = []
    try {
      for (const [path, text] of files) await writeFile(`${path}.part`, text)
      for (const [path] of files) {
        await rename(`${path}.part`, path)
        moved.push(path)
      }
    } catch (error) {
      await Promise.all(moved.map((path) => rm(path, { force: true })))
      throw error
    } finally {
      await Promise.all(files.map(([path]) => rm(`${path}.part`, { force: true })))
    }
  })
}

async function refuseExisting(path: string): Promise<void> {
  const isThere = await access(path).then(
    () => true,
    () => false,
  )
  if (isThere) throw Object.assign(new Error('there already'), { code: 'EEXIST' })
}
