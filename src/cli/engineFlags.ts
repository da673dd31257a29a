import { setFlagsFromString } from 'node:v8'

/**
 * How the engine is told to work, of the commands only and not of notebooks (docs/speed.md):
 *
 * - A function is optimised after it has run twelve times as much as usual: a command that ends after seconds spent half its
 *   processor time on optimising what it hardly ran again.
 * - What is left of young objects is collected by one thread: several wait for each other, while both processors have better to do.
 * - The first collection of all objects waits until there are 128 MB: what a command has loaded stays to its end. Only threads that
 *   are started afterwards follow it.
 *
 * An engine says so on standard error where it does not know a flag: none is given to one on which it was not tried.
 *
 * @param version of V8, as `process.versions.v8` has it
 */
export function engineFlags(version: string): readonly string[] {
  const engine = Number.parseInt(version, 10)
  return [
    ...(engine === 11 ? ['--interrupt-budget=800000'] : []),
    ...(engine >= 11 && engine <= 13 ? ['--no-parallel-scavenge', '--initial-old-space-size=128'] : []),
  ]
}

/**
 * How it is told to work once many records are read (docs/speed.md):
 *
 * - The heap of every thread grows by three fifths from one collection to the next. Left to itself it grows up to fourfold, and with
 *   200,000 restorations what nobody needed any more was the largest part of all memory; collecting it earlier took no longer. A small
 *   audit took a tenth longer with it.
 * - What is still needed is looked for by the thread itself: both processors have better to do than to look for it beside.
 *
 * @param version of V8, as `process.versions.v8` has it
 */
export function engineFlagsForMany(version: string): readonly string[] {
  const engine = Number.parseInt(version, 10)
  return engine >= 11 && engine <= 13 ? ['--heap-growing-percent=60', '--no-concurrent-marking'] : []
}

/** Young objects of a thread of a large audit: half of what the engine would let them take up, since little that is made there stays. */
export const limitsForMany = { maxYoungGenerationSizeMb: 24 } as const

/** Gives flags to the engine of this process. */
export function giveFlags(flags: readonly string[]): void {
  for (const flag of flags) setFlagsFromString(flag)
}
