import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { message } from '../../src/messages/message.js'
import { speaker } from '../../src/messages/speaker.js'

const root = join(import.meta.dirname, '..', '..')
const study = readFileSync(join(root, 'docs', 'verification', 'study-group.md'), 'utf8')

/** Coverage of an interval in the table of the study, rounded to whole per cent, smallest and largest. */
function held(interval: RegExp, practices: readonly number[], taus: readonly number[]): string {
  const found = [...study.matchAll(/^\| (\d+) \| ([\d.]+) \| ([^|]+) \|(.*)$/gm)]
    .filter(
      ([, sites, tau, name]) =>
        practices.includes(Number(sites)) && taus.includes(Number(tau)) && interval.test(name!),
    )
    .map(([, , , , rest]) => Math.round(Number(rest!.split('|')[6]!.split('±')[0])))
  expect(found).toHaveLength(practices.length * taus.length)
  const [least, most] = [Math.min(...found), Math.max(...found)]
  return least === most ? `${least}` : `${least} to ${most}`
}

it('says on the page of a group how often its intervals held the truth, as the study measured it', () => {
  const pooled = /^pooled/
  const between = /^allowing/
  const sample = speaker().text(message('study-group.coverage-sample'))
  expect(sample).toContain(
    `held the mean of the practices in ${held(between, [12, 40], [0, 0.2])} of 100 groups`,
  )
  expect(sample).toContain(
    `alike or differed a little, and in ${held(between, [12, 40], [0.5])}, fewer than the 95`,
  )
  expect(sample).toContain(`held it in ${held(pooled, [12, 40], [0.5])} of 100 where they differed much`)
  expect(sample).toContain(`in ${held(pooled, [12, 40], [0.2])} where they differed a little`)
  expect(sample).toContain(`in ${held(pooled, [12, 40], [0])} where they were alike`)
  const alike = speaker().text(message('study-group.coverage-alike'))
  expect(alike).toContain(`in ${held(pooled, [5], [0, 0.2])} of 100 groups where they were alike`)
  expect(alike).toContain(`in ${held(pooled, [5], [0.5])} where they differed much`)
  const guide = readFileSync(join(root, 'docs', 'pooling.md'), 'utf8').replace(/\s+/g, ' ')
  expect(guide).toContain(`${held(between, [12, 40], [0, 0.2])}% where they were alike`)
  expect(guide).toContain(`in ${held(between, [12, 40], [0.5])}% where they differed much`)
})
