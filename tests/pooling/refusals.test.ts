import { beforeAll, describe, expect, it } from 'vitest'
import { stableJson } from '../../src/core/plain.js'
import { checkSummaries } from '../../src/pooling/checkSummaries.js'
import { combineSummaries } from '../../src/pooling/combine.js'
import { summaryKind } from '../../src/pooling/kinds.js'
import { type AgreedProtocol, readProtocol } from '../../src/pooling/protocol.js'
import { readSealed, sealed } from '../../src/pooling/seal.js'
import { makeSiteSummary } from '../../src/pooling/siteSummary.js'
import type { SiteSummary } from '../../src/pooling/summarySchema.js'
import { agreedOn, making, throughRounds } from './demoGroup.js'
import { changedRows, syntheticRows } from './syntheticRows.js'

const agreed = agreedOn({ strata: null })
const key = 'the key of the group'
const rowsOf = (clinic: string, seed: number, by: AgreedProtocol = agreed) =>
  syntheticRows(by.protocol, {
    clinic,
    patients: 150,
    eventShare: 0.2,
    competingShare: 0.1,
    lateShare: 0,
    seed,
  })
const summaryOf = async (clinic: string, seed: number, by: AgreedProtocol = agreed): Promise<SiteSummary> =>
  (await makeSiteSummary(rowsOf(clinic, seed, by), by, { ...making, key })).summary

let first: SiteSummary
let second: SiteSummary
beforeAll(async () => {
  first = await summaryOf('A', 1)
  second = await summaryOf('B', 2)
})

const reading = (text: string, withKey?: string) =>
  readSealed(text, summaryKind, { file: 'summary.json', key: withKey })

/** A summary edited by hand, its checksum made good again. */
function edited(change: (content: SiteSummary) => void): SiteSummary {
  const { checksum, seal, ...content } = JSON.parse(JSON.stringify(first)) as SiteSummary
  change(content as SiteSummary)
  return sealed(content) as SiteSummary
}

/** Changes the number at a path of an object. */
function changeAt(
  content: object,
  path: readonly (string | number)[],
  change: (was: number) => number,
): void {
  let place = content as Record<string | number, unknown>
  for (const step of path.slice(0, -1)) place = place[step] as Record<string | number, unknown>
  const last = path[path.length - 1]!
  place[last] = change(place[last] as number)
}

const refusalsOf = (...summaries: SiteSummary[]) =>
  checkSummaries(summaries, agreed).refused.map(({ error }) => error.code)

describe('a summary file', () => {
  it('is read as it was written', () => {
    expect(reading(stableJson(first, 1))).toEqual(first)
    expect(reading(stableJson(first), key)).toEqual(first)
  })

  it('is refused damaged', () => {
    const text = stableJson(first)
    const message =
      'summary.json: the file cannot be used: its checksum does not fit its content. Expected: a site summary as the site wrote it (holdfast-site-summary-1). Mend: ask the site to send it again, made with the version that the group uses.'
    expect(() => reading(text.replace('"release":1', '"release":7'))).toThrow(message)
    expect(() => reading(text.slice(0, -20))).toThrow('it is not JSON')
  })

  it('is refused of another version or kind', () => {
    const text = stableJson(first)
    const codeOf = (changed: string): string => {
      try {
        reading(changed)
      } catch (error) {
        return (error as { code: string }).code
      }
      return 'read'
    }
    expect(codeOf(text.replace('summary-1', 'summary-0'))).toBe('outdated-file')
    expect(codeOf('{"format":"other"}')).toBe('foreign-file')
    expect(codeOf('null')).toBe('foreign-file')
    expect(codeOf('[]')).toBe('foreign-file')
  })

  it('is refused edited by hand where the group has a key', () => {
    const changed = edited((content) => {
      content.clinic = 'C'
    })
    expect(reading(stableJson(changed)).clinic).toBe('C')
    expect(() => reading(stableJson(changed), key)).toThrow('it has no seal')
    const forged = sealed(
      Object.fromEntries(Object.entries(changed).filter(([name]) => name !== 'checksum')),
      'guess',
    )
    expect(() => reading(stableJson(forged), key)).toThrow(
      'summary.json: its seal does not fit its content and the key of the group; it may have been edited by hand. Expected: a site summary sealed with the key of the group. Mend: ask the site to make it again with --group-key and the key file of the group.',
    )
  })
})

describe('summaries of a group', () => {
  it('are accepted each once', () => {
    expect(refusalsOf(first, second)).toEqual([])
  })

  it('are refused twice, in conflict, or under two names', async () => {
    expect(refusalsOf(first, second, first)).toEqual(['duplicate-summary'])
    expect(refusalsOf(first, await summaryOf('A', 9))).toEqual(['conflicting-summary'])
    const renamed = edited((content) => {
      content.clinic = 'Z'
    })
    expect(refusalsOf(first, renamed)).toEqual(['same-table-twice'])
  })

  it('are refused by another protocol or another version of it', async () => {
    const other = agreedOn({ strata: null, name: 'another group' })
    const outdated = agreedOn({ strata: null, version: 2 })
    expect(refusalsOf(first, await summaryOf('X', 3, other))).toEqual(['other-protocol'])
    expect(refusalsOf(first, await summaryOf('X', 3, outdated))).toEqual(['outdated-protocol'])
  })

  it.each([
    ['a count below the threshold', ['blocks', 0, 'groups', 0, 'censored', 0], () => 2],
    ['numbers at risk', ['blocks', 0, 'groups', 0, 'atRisk', 0], (was: number) => was + 10],
    ['time at risk', ['blocks', 0, 'groups', 0, 'timeAtRiskDays', 0], (was: number) => was * 50],
    ['a grid of its own', ['blocks', 0, 'intervalEndsDays', 0], () => 7],
    ['restorations', ['restorations'], (was: number) => was + 5],
    ['the threshold', ['threshold'], () => 3],
    ['information', ['model', 'atStart', 'information', 0, 0], () => 999],
    ['a level of the balance', ['balance', 0, 'levels', 0, 'restorations', 0], (was: number) => was + 5],
  ])('are refused where %s cannot be', (_what, path, change) => {
    expect(refusalsOf(edited((content) => changeAt(content, path, change)))).toEqual(['implausible-summary'])
  })

  it('give way to a later release of the same clinic', async () => {
    const rows = rowsOf('A', 1)
    const made = await makeSiteSummary(rows, agreed, making)
    const more = syntheticRows(agreed.protocol, {
      clinic: 'A',
      patients: 400,
      eventShare: 0.3,
      competingShare: 0.1,
      lateShare: 0,
      seed: 77,
    })
    const grown = {
      ...more,
      key: more.key.map((name) => `later ${name}`),
      patientKey: more.patientKey.map((name) => `later ${name}`),
    }
    const later = await makeSiteSummary(grown, agreed, { ...making, earlier: [made.record] })
    const checked = checkSummaries([made.summary, later.summary, second], agreed)
    expect(checked.accepted.map(({ clinic, release }) => [clinic, release])).toEqual([
      ['A', 2],
      ['B', 1],
    ])
    expect(checked.replaced).toEqual([{ clinic: 'A', release: 1, by: 2 }])
  })

  it('are refused as a whole where none can be used', () => {
    expect(() => combineSummaries([], agreed)).toThrow('no summary')
    expect(() =>
      combineSummaries([edited((one) => changeAt(one, ['restorations'], (was) => was + 5))], agreed),
    ).toThrow('do not add up')
  })
})

describe('sites that differ', () => {
  it('take part in the curve without events, and are listed without an estimate', async () => {
    const quiet = changedRows(rowsOf('C', 3), () => ({ status: 0 }))
    const made = await makeSiteSummary(quiet, agreed, making)
    const result = combineSummaries([first, second, made.summary], agreed)
    expect(result.sites.map(({ clinic, events }) => [clinic, events === 0])).toEqual([
      ['A', false],
      ['B', false],
      ['C', true],
    ])
    expect(result.synthesis!.without).toEqual([{ clinic: 'C', reason: 'no event' }])
    expect(result.overall.restorations).toBe(first.restorations + second.restorations + quiet.n)
  })

  it('may drop out between rounds, or join late', async () => {
    const site = async (clinic: string, seed: number) => {
      const rows = rowsOf(clinic, seed)
      return { rows, made: await makeSiteSummary(rows, agreed, making) }
    }
    const [a, b, c] = await Promise.all([site('A', 1), site('B', 2), site('C', 3)])
    const two = throughRounds([a!, b!], agreed)
    const three = throughRounds([a!, b!, c!], agreed)
    const started = combineSummaries([a!.made.summary, b!.made.summary, c!.made.summary], agreed)
    if (started.model.state !== 'next-round') throw new Error('unexpected')
    const { request } = started.model
    // B does not answer: the coordinator is told whom it waits for.
    const { answerRound } = await import('../../src/pooling/answerRound.js')
    const answers = [a!, c!].map(
      ({ rows, made }) => answerRound(rows, agreed, made, made.record, request).answer,
    )
    const rounds = [{ request, answers }]
    const all = [a!, b!, c!].map(({ made }) => made.summary)
    expect(combineSummaries(all, agreed, { rounds }).model).toEqual({
      state: 'waiting',
      round: 1,
      clinics: ['B'],
    })
    // Without B the answers at hand carry on.
    const without = combineSummaries([a!.made.summary, c!.made.summary], agreed, { rounds }).model
    expect(without).toMatchObject({ state: 'next-round', request: { round: 2 } })
    // A late joiner starts the rounds anew, under the next number.
    const late = await site('D', 4)
    const joined = combineSummaries([...all, late.made.summary], agreed, { rounds }).model
    expect(joined).toMatchObject({ state: 'next-round', request: { round: 2 } })
    expect(two.model.state).toBe('settled')
    expect(three.model.state).toBe('settled')
  })
})

describe('a protocol file', () => {
  it('has a hash that does not depend on the order of its keys', () => {
    const turned = Object.fromEntries(Object.entries(agreed.protocol).reverse())
    expect(readProtocol(JSON.stringify(turned)).hash).toBe(agreed.hash)
  })

  it('is refused with every place that is wrong', () => {
    expect(() => readProtocol('{')).toThrow('it is not JSON')
    expect(() => readProtocol(JSON.stringify({ ...agreed.protocol, threshold: 1 }))).toThrow('threshold: ')
    expect(() => readProtocol(JSON.stringify({ ...agreed.protocol, gridDays: [10, 5] }))).toThrow(
      'gridDays do not rise',
    )
    const field = agreed.protocol.balance[0]!
    expect(() => readProtocol(JSON.stringify({ ...agreed.protocol, strata: field }))).toThrow(
      'could be subtracted',
    )
  })
})
