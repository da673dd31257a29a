import { describe, expect, it } from 'vitest'
import { HoldfastError } from '../../src/core/errors.js'
import { gathered, makeList, shorterList } from '../../src/pooling/coordinator/gather.js'
import { unmaskedSum } from '../../src/pooling/masks/masks.js'
import {
  type List,
  listHash,
  type Message,
  messageText,
  readMessage,
  type Totals,
} from '../../src/pooling/protocol/messages.js'
import { newKeys, signed } from '../../src/pooling/protocol/signing.js'
import { answerList, makeReady, makeVoid } from '../../src/pooling/site/release.js'
import { answered, coordinator, listOf, making, readyPractice, voided } from './messagesOfGroup.js'
import { agreedOn, groupRows, numbersOfRows } from './syntheticGroup.js'

const agreed = agreedOn()
const rows = groupRows(agreed.protocol)
const group = ['North', 'Müller', 'Muller', 'South', 'East'].map((name, i) =>
  readyPractice(name, rows[i + 6]!, agreed),
)
const readies = group.map(({ ready }) => ready)
const list = listOf(readies, agreed)
const answers = group.map(({ practice }) => answered(practice, list))

/** What a refusal says. */
function refusal(work: () => unknown): { readonly code: string; readonly message: string } {
  try {
    work()
  } catch (error) {
    if (error instanceof HoldfastError) return { code: error.code, message: error.message }
    throw error
  }
  throw new Error('nothing was refused')
}

function again(list_: Omit<List, 'signature'>): List {
  const { signature: _old, ...content } = list_ as List
  return signed(content, coordinator.secret)
}

/** A message with one thing changed: each number by one, each digit and the middle and last letter of a text, each key gone. */
function everyEdit(message: Message): { readonly place: string; readonly text: string }[] {
  const found: { place: string; text: string }[] = []
  const copy = structuredClone(message) as unknown as Record<string, unknown>
  const keep = (place: string): void => {
    found.push({ place, text: JSON.stringify(copy) })
  }
  const walk = (at: Record<string, unknown>, path: string): void => {
    for (const key of Object.keys(at)) {
      const value = at[key]
      const place = `${path}.${key}`
      for (const other of changesOf(value)) {
        at[key] = other
        keep(place)
      }
      at[key] = value
      if (!Array.isArray(at)) {
        delete at[key]
        keep(`${place} gone`)
        at[key] = value
      }
      if (typeof value === 'object' && value !== null) walk(value as Record<string, unknown>, place)
    }
  }
  walk(copy, message.format)
  copy.more = 1
  keep('one key more')
  return found
}

const refusedEdits = new Set(['bad-signature', 'damaged-message', 'not-a-message', 'bad-protocol'])

function codeOf(text: string): string {
  try {
    readMessage(text, 'file.json')
  } catch (error) {
    if (error instanceof HoldfastError) return error.code
    throw error
  }
  return 'taken'
}

function isSame(text: string, message: Message): boolean {
  return codeOf(text) === 'taken' && messageText(readMessage(text, 'file.json')) === messageText(message)
}

function changesOf(value: unknown): readonly unknown[] {
  if (typeof value === 'number') return [value + 1, value - 1]
  if (typeof value === 'boolean') return [!value, Number(value)]
  if (value === null) return [0, 'ab'.repeat(32), []]
  if (typeof value !== 'string') return Array.isArray(value) ? [[...value, value[0] ?? 1]] : [{}]
  const put = (at: number, letter: string): string => `${value.slice(0, at)}${letter}${value.slice(at + 1)}`
  const digits = [...value.matchAll(/\d/g)].map(({ index }) =>
    put(index, String((Number(value[index]) + 1) % 10)),
  )
  const letters = [0, Math.floor(value.length / 2), value.replace(/=+$/, '').length - 1].map((at) =>
    put(at, value[at] === 'B' ? 'C' : String.fromCharCode((value.charCodeAt(at) || 65) + 1)),
  )
  return [...digits, ...letters, `${value} `, '']
}

describe('every number of a message', () => {
  const messages: Readonly<Record<string, Message>> = {
    ready: readies[0]!,
    list,
    answer: answers[0]!.answer,
    void: voided(group[1]!.practice, listOf(readies.slice(0, 4), agreed)).message,
    totals: totalsOf(list),
    'shorter list': shorterList(list, [voided(group[4]!.practice, list).message], coordinator, making),
    objection: signed(
      {
        format: 'holdfast-objection-1' as const,
        identity: group[0]!.practice.signing.open,
        name: 'North',
        listHash: listHash(list),
        cells: ['screw_loosening/years/0/0', 'screw_loosening/years/1/2'],
      },
      group[0]!.practice.signing.secret,
    ),
    'round request': signed(
      {
        format: 'holdfast-round-1' as const,
        listHash: listHash(list),
        round: 1,
        coefficients: { screw_loosening: [-0.25, 0.125], veneer_chipping: null },
        before: totalsOf(list) as Totals,
        coordinator: coordinator.open,
      },
      coordinator.secret,
    ),
  }

  it.each(Object.keys(messages))('of a %s is refused when it is edited, wherever it stands', (kind) => {
    const message = messages[kind]!
    expect(readMessage(messageText(message), 'file.json')).toEqual(message)
    const edited = everyEdit(message)
    expect(edited.length).toBeGreaterThan(80)
    // A key that is gone and stands for its usual value leaves the message as it was.
    const taken = edited.filter(({ place, text }) => !(place.endsWith(' gone') && isSame(text, message)))
    const codes = taken.map(({ place, text }) => [codeOf(text), place] as const)
    expect(codes.filter(([code]) => !refusedEdits.has(code))).toEqual([])
  })

  it('says so in full', () => {
    const text = messageText(answers[0]!.answer).replace('"round": 0', '"round": 1')
    expect(refusal(() => readMessage(text, 'answer.json')).message).toBe(
      'answer.json: the signature of the answer does not fit, so it was changed after it was made. Expected: a message as the toolkit wrote it, unchanged. Mend: ask for the file again, and do not open it in an editor.',
    )
  })

  it('refuses files of the earlier design with a plain word', () => {
    expect(refusal(() => readMessage('{"format":"holdfast-site-summary-1"}', 'old.json')).message).toBe(
      'old.json: it is a file of the earlier design, in which every site showed counts of its own. Expected: a ready note or an answer of this version. Mend: ask the site to run holdfast share of this version; nothing of the earlier files is used.',
    )
  })
})

function totalsOf(of: List): Message {
  const found = gathered(
    of,
    answers.map(({ answer }) => answer),
    coordinator,
  )
  if (found.state === 'waiting') throw new Error('waiting')
  return found.totals
}

describe('the list', () => {
  it('is needed with three practices at least', () => {
    expect(refusal(() => listOf(readies.slice(0, 2), agreed)).message).toBe(
      '2 practices are left for the list. Expected: at least 3 practices; with two, each would see the numbers of the other. Mend: wait until more practices are ready.',
    )
    const two = again({ ...list, sites: list.sites.slice(0, 2) })
    expect(refusal(() => readMessage(messageText(two), 'list.json')).code).toBe('damaged-message')
  })

  it('holds each practice, each key and each name once', () => {
    expect(refusal(() => makeList([...readies, readies[0]!], agreed, coordinator, making)).message).toContain(
      'the same practice stands in it twice',
    )
    const same = readyPractice('NORTH', rows[12]!, agreed).ready
    expect(refusal(() => makeList([...readies, same], agreed, coordinator, making)).message).toContain(
      'two practices in it have the same name',
    )
  })

  it('is refused with one or two closed practices, in either place', () => {
    const open = ['a', 'b', 'c'].map((name, i) => readyPractice(name, rows[i]!, agreed, { open: true }))
    const mixed = [...open, group[0]!].map(({ ready }) => ready)
    expect(refusal(() => listOf(mixed, agreed)).message).toContain(
      'only 1 of its practices is closed, so that the open ones would give it away',
    )
    const forced = again({ ...list, sites: [...open, ...group.slice(0, 2)].map(({ ready }) => ready) })
    expect(refusal(() => answerList([group[0]!.practice], forced)).code).toBe('bad-list')
  })

  it('is refused with another protocol, layout or cut-off than the ready notes', () => {
    const other = agreedOn({ threshold: 6 })
    expect(
      refusal(() => answerList([group[0]!.practice], again({ ...list, protocol: other.protocol }))).message,
    ).toBe(
      'the list cannot be answered: a ready note in it is for another protocol. Expected: a list of at least 3 practices, each once, for one protocol and one cut-off day. Mend: ask the coordinator for a list that holds.',
    )
    const layout = again({ ...list, layoutHash: '0'.repeat(64) })
    expect(refusal(() => answerList([group[0]!.practice], layout)).message).toContain(
      'its layout is not that',
    )
  })

  it('is refused where the practice does not stand in it, or with a note that it did not make', () => {
    expect(refusal(() => answerList([readyPractice('West', rows[3]!, agreed).practice], list)).code).toBe(
      'not-in-list',
    )
    const fresh = makeReady(
      { ...group[0]!.practice, releases: [] },
      agreed,
      numbersOfRows(rows[6]!, agreed.protocol),
      { ...making, open: false },
    )
    expect(refusal(() => answerList([fresh.practice], list)).code).toBe('other-ready-note')
  })
})

describe('one answer for the same days', () => {
  const [north] = answers

  it('gives the same bytes when it is asked again', () => {
    const step = answerList([north!.practice], list)
    expect(step.again).toBe(true)
    expect(step.text).toBe(messageText(north!.answer))
  })

  it('is refused to another list, longer, equal or shorter', () => {
    const west = readyPractice('West', rows[3]!, agreed).ready
    const message =
      'this practice has answered another list for the same days. From two sums over other practices, the numbers of one could be had by subtraction. Expected: the list that was answered; or a shorter one, in which every practice that is gone has signed a void of the list that was answered, and none was added. Mend: let the practices that are gone run holdfast void, or wait for the next release.'
    for (const sites of [[...readies, west], [...readies.slice(0, 4), west], readies.slice(0, 4)]) {
      expect(refusal(() => answerList([north!.practice], listOf(sites, agreed))).message).toBe(message)
    }
  })

  it('is given to a shorter list only with a void of each that is gone', () => {
    const gone = voided(group[4]!.practice, list)
    const shorter = shorterList(list, [gone.message], coordinator, making)
    const second = answered(north!.practice, shorter)
    expect(second.answer.values).not.toBe(north!.answer.values)
    const four = answers.slice(0, 4).map(({ practice }) => answered(practice, shorter).answer)
    const sum = gathered(shorter, four, coordinator)
    expect(sum.state).toBe('complete')
    const without = shorterList(list, [gone.message], coordinator, making)
    const stolen = again({ ...without, voids: [voided(group[3]!.practice, list).message] })
    expect(refusal(() => answerList([north!.practice], stolen)).code).toBe('bad-list')
    expect(refusal(() => shorterList(list, [], coordinator, making)).code).toBe('no-void')
  })

  it('is refused after a void, and a void after it', () => {
    const gone = voided(group[4]!.practice, list)
    expect(refusal(() => answerList([gone.practice], list)).message).toBe(
      'this practice has signed that it will not answer this list. Expected: a list that was not voided. Mend: wait for the next list.',
    )
    expect(refusal(() => makeVoid([north!.practice], list)).message).toBe(
      'this practice has answered the list, so that its numbers are in the sum, or will be. Expected: a list that was not answered. Mend: leave it; the answer cannot be taken back.',
    )
    expect(makeVoid([gone.practice], list).text).toBe(messageText(gone.message))
  })

  it('is refused under another protocol for days that were shared', () => {
    const other = agreedOn({ endpoints: ['veneer_chipping'], gridDays: [365, 731, 1096, 1826] })
    const numbers = numbersOfRows(rows[6]!, other.protocol)
    expect(
      refusal(() => makeReady(north!.practice, other, numbers, { ...making, open: false })).message,
    ).toContain('the release covers days up to 2025-12-31 or before, which this practice has shared already')
    const earlier = agreedOn({ release: { from: null, cutoff: '2024-06-30' } })
    expect(refusal(() => makeReady(north!.practice, earlier, numbers, { ...making, open: false })).code).toBe(
      'reaches-back',
    )
    const overlapping = agreedOn({ release: { from: '2025-06-30', cutoff: '2026-01-15' } })
    expect(
      refusal(() => makeReady(north!.practice, overlapping, numbers, { ...making, open: false })).code,
    ).toBe('reaches-back')
  })

  it('is refused where another release was answered after the numbers were fixed', () => {
    const other = agreedOn({ version: 2 })
    const both = readyPractice('North', rows[6]!, other, { before: group[0]!.practice })
    const first = answered(both.practice, list)
    const secondList = listOf(
      [both.ready, ...[7, 8].map((i) => readyPractice(`P${i}`, rows[i]!, other).ready)],
      other,
    )
    expect(refusal(() => answerList([first.practice], secondList)).code).toBe('ledger-moved-on')
  })
})

describe('a practice', () => {
  it('refuses a protocol below its floor', () => {
    expect(refusal(() => readyPractice('North', rows[6]!, agreed, { floor: 11 })).message).toBe(
      'the protocol prints numbers behind which 5 patients stand, and this practice asks for 11. Expected: a protocol whose threshold is not below the floor of the practice. Mend: ask the coordinator for a higher threshold; the floor is set once, when the practice takes part the first time.',
    )
  })

  it('refuses a cut-off day that is not over', () => {
    const later = agreedOn({ release: { from: null, cutoff: '2026-02-01' } })
    expect(refusal(() => readyPractice('North', rows[6]!, later)).code).toBe('cutoff-not-over')
  })

  it('gives the same ready note again, and another one only where nothing was sent', () => {
    const { practice, ready } = group[0]!
    const numbers = numbersOfRows(rows[6]!, agreed.protocol)
    const options = { ...making, open: false }
    expect(makeReady(practice, agreed, numbers, options).text).toBe(messageText(ready))
    expect(makeReady(practice, agreed, numbers, { ...options, anew: true }).text).not.toBe(messageText(ready))
    expect(
      refusal(() => makeReady(answers[0]!.practice, agreed, numbers, { ...options, anew: true })).code,
    ).toBe('already-answered')
  })
})

describe('the sum', () => {
  it('can be read with all answers only', () => {
    const missing = gathered(
      list,
      answers.slice(1).map(({ answer }) => answer),
      coordinator,
    )
    expect(missing).toEqual({ state: 'waiting', names: [group[0]!.practice.name] })
    const four = unmaskedSum(answers.slice(1).map(({ answer }) => answer.values))
    expect(four[0]).not.toBe(4n)
    const sorted = list.sites.map(
      ({ identity }) => answers.find(({ answer }) => answer.identity === identity)!,
    )
    expect(unmaskedSum(sorted.map(({ answer }) => answer.values))[0]).toBe(5n)
  })

  it('refuses swapped, foreign and doubled answers', () => {
    const other = signed(
      { ...withoutSignature(answers[0]!.answer), values: answers[1]!.answer.values },
      group[0]!.practice.signing.secret,
    )
    const files = [other, ...answers.slice(1).map(({ answer }) => answer)]
    expect(refusal(() => gathered(list, files, coordinator)).code).toBe('totals-do-not-add-up')
    expect(refusal(() => gathered(list, [...files, answers[0]!.answer], coordinator)).code).toBe(
      'two-answers',
    )
    const west = readyPractice('West', rows[3]!, agreed).practice
    const foreign = signed(
      { ...withoutSignature(answers[0]!.answer), identity: west.signing.open },
      west.signing.secret,
    )
    expect(refusal(() => gathered(list, [foreign, ...files], coordinator)).code).toBe('foreign-answer')
  })

  it('takes the same answer twice as one, and no answer to another list', () => {
    const all = answers.map(({ answer }) => answer)
    expect(gathered(list, [...all, all[0]!], coordinator).state).toBe('complete')
    const other = listOf(readies.slice(0, 4), agreed)
    expect(gathered(other, all, coordinator).state).toBe('waiting')
    expect(listHash(other)).not.toBe(listHash(list))
    expect(newKeys('x25519').open).not.toBe(newKeys('x25519').open)
  })
})

function withoutSignature<M extends { readonly signature: string }>({
  signature: _,
  ...content
}: M): Omit<M, 'signature'> {
  return content
}
