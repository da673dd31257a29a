import type { Door } from '../records/identities/door.js'

/**
 * Reads a data set through its door: names and chart numbers that are its keys go under pseudonyms, the key file is
 * written beside it where pseudonyms were drawn, and what was taken off is said on standard error.
 */
export async function throughDoor<Result>(
  dataset: string,
  read: (door: Door) => Promise<Result>,
): Promise<Result> {
  const { openDoor } = await import('../records/identities/door.js')
  const door = await openDoor(dataset)
  const result = await read(door)
  await door.save()
  process.stderr.write(door.words())
  return result
}
