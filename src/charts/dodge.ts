/**
 * Moves labels apart along one direction so that none overlaps another, each as near to its wish as the others let
 * it, and keeps them between 0 and the room. Order is kept; where the room is too small for all, they overrun it.
 *
 * @param wishes middle that each label would like
 * @param heights room that each label takes
 * @param room length of the direction
 */
export function dodged(wishes: readonly number[], heights: readonly number[], room: number): number[] {
  const order = wishes.map((_, index) => index).sort((a, b) => wishes[a]! - wishes[b]! || a - b)
  const blocks: { members: number[]; height: number; middle: number }[] = []
  for (const index of order) {
    blocks.push({ members: [index], height: heights[index]!, middle: wishes[index]! })
    mergeBack(blocks, wishes, heights, room)
  }
  const middles = new Array<number>(wishes.length)
  for (const block of blocks) {
    let top = block.middle - block.height / 2
    for (const index of block.members) {
      middles[index] = top + heights[index]! / 2
      top += heights[index]!
    }
  }
  return middles
}

function mergeBack(
  blocks: { members: number[]; height: number; middle: number }[],
  wishes: readonly number[],
  heights: readonly number[],
  room: number,
): void {
  for (;;) {
    const last = blocks.at(-1)!
    last.middle = clamped(last.middle, last.height, room)
    const before = blocks.at(-2)
    if (before === undefined || before.middle + before.height / 2 <= last.middle - last.height / 2) return
    blocks.pop()
    before.members.push(...last.members)
    before.height += last.height
    before.middle = wishedMiddle(before.members, wishes, heights, before.height)
  }
}

/** Middle of a block at which its members lie, on the mean, where they wish. */
function wishedMiddle(
  members: readonly number[],
  wishes: readonly number[],
  heights: readonly number[],
  height: number,
): number {
  let top = 0
  let shift = 0
  for (const index of members) {
    shift += wishes[index]! - (top + heights[index]! / 2)
    top += heights[index]!
  }
  return shift / members.length + height / 2
}

function clamped(middle: number, height: number, room: number): number {
  return Math.max(height / 2, Math.min(room - height / 2, middle))
}
