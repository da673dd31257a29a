import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, afterEach, describe, expect, it } from 'vitest'
import { type AskedAhead, openAnswersThread } from '../../src/cli/answersAhead.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { defaultDefinition } from '../../src/cohort/definition.js'
import { comparisonQuestion } from '../../src/questions/comparison/question.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { sharedRecords } from '../../src/records/recordTable.js'

/** The thread as built: a thread cannot run the sources. */
const built = new URL('../../dist/cli/answersThread.js', import.meta.url)

const folder = mkdtempSync(join(tmpdir(), 'holdfast-answers-'))
afterAll(() => rmSync(folder, { recursive: true }))

const threads = process.env.HOLDFAST_THREADS
afterEach(() => {
  if (threads === undefined) delete process.env.HOLDFAST_THREADS
  else process.env.HOLDFAST_THREADS = threads
})

function threadOf(name: string, code: string): URL {
  const path = join(folder, `${name}.mjs`)
  writeFileSync(path, code)
  return pathToFileURL(path)
}

const records = await readRecords('data-demo', { today: 20_500 })
const asked: AskedAhead = { records, definition: defaultDefinition, settings: defaultSettings }

describe('answers of a thread of its own', () => {
  it('are those that are found without it, to the last digit', async () => {
    const thread = openAnswersThread(built)!
    const come = await thread.ask(asked)
    expect(come?.tightening).toStrictEqual(comparisonQuestion.answer(buildCohort(records), defaultSettings))
    expect(come?.tightening?.lead).toBeDefined()
    thread.close()
  })

  it('are the same of records whose columns the threads share, and whose keys have no names there', async () => {
    const thread = openAnswersThread(built)!
    const come = await thread.ask({ ...asked, records: sharedRecords(records) })
    expect(come?.tightening).toStrictEqual(comparisonQuestion.answer(buildCohort(records), defaultSettings))
    expect(records.restorations.category('patient_id').labels.length).toBeGreaterThan(100)
    thread.close()
  })

  it.each([
    ['cannot be loaded', "throw new Error('no thread today')"],
    [
      'fails',
      "import { parentPort } from 'node:worker_threads'\nparentPort.once('message', () => { throw new Error('lost') })",
    ],
    [
      'ends',
      "import { parentPort } from 'node:worker_threads'\nparentPort.once('message', () => process.exit(0))",
    ],
  ])('come to nothing where the thread %s, so that the audit answers by itself', async (what, code) => {
    const thread = openAnswersThread(threadOf(what.replaceAll(' ', '-'), code))!
    expect(await thread.ask(asked)).toBeUndefined()
    thread.close()
  })

  it('come to nothing where there is no such file', async () => {
    const thread = openAnswersThread(pathToFileURL(join(folder, 'nowhere.mjs')))!
    expect(await thread.ask(asked)).toBeUndefined()
  })

  it('are not asked for of records that no thread can be given', () => {
    const thread = openAnswersThread(built)!
    expect(thread.ask({ ...asked, records: { ...records, visits: { ...records.visits } } })).toBeUndefined()
    thread.close()
  })

  it('are not begun where one thread is asked for', () => {
    process.env.HOLDFAST_THREADS = '1'
    expect(openAnswersThread(built)).toBeUndefined()
  })
})
