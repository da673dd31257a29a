import type { Door } from '../records/identities/door.js'
import { type Answers, answerAt, answered, readAnswers } from '../records/interview/answers.js'
import { echoOf } from '../records/interview/echo.js'
import { interview } from '../records/interview/interview.js'
import type { Choice, Question } from '../records/interview/questions.js'
import {
  answersSoFar,
  type InterviewFiles,
  interviewFiles,
  keepConfirmed,
  saveAnswers,
  saveConfirmed,
  saveQuestions,
} from '../records/interview/save.js'
import { checkRecords, type RecordCheck } from '../records/read/readDataset.js'
import type { ColumnMap } from '../records/understand/columnMap.js'

/** How an interview is held. */
export interface InterviewOrder {
  readonly today: number
  readonly redo: boolean
  /** File of answers to take first. */
  readonly answers?: string
  /** Folder for what was read as the three tables. */
  readonly tables?: string
  readonly say: (text: string) => void
  /** Where names and chart numbers go under pseudonyms as the file is read. */
  readonly door?: Door
  /** Puts a question to the user; absent without a terminal. */
  readonly ask?: (question: Question) => Promise<Choice['answer']>
}

/** Holds the interview about a data set; true where its map is confirmed at the end. */
export async function runInterview(dataset: string, order: InterviewOrder): Promise<boolean> {
  const files = await interviewFiles(dataset)
  const given = order.answers === undefined ? undefined : await readAnswers(order.answers)
  for (const kept of await keepConfirmed(files, order.redo)) order.say(`Kept: ${kept}`)
  let answers = given ?? (await answersSoFar(files))
  if (given === undefined && Object.keys(answers.sheets).length > 0)
    order.say('The interview goes on where it was stopped.')
  for (;;) {
    const { open, map, told } = await interview(dataset, answers, order.door)
    const pending = open.length === 0 ? await lastQuestion(dataset, map, told, answers, order) : open
    if (pending.length === 0) return confirmed(dataset, files, map, answers, order)
    if (order.ask === undefined) {
      const last = open.length === 0 ? [] : [rightQuestion('', [])]
      await saveQuestions(files, answers, [...pending, ...last])
      order.say(`Open: ${pending.map(({ where }) => where.join(' › ')).join('; ')}`)
      order.say(
        `${pending.length === 1 ? '1 question is open' : `${pending.length} questions are open`}. Fill in the answers and run again with --answers: ${files.questions}`,
      )
      return false
    }
    const [question] = pending
    answers = answered(answers, question!.where, await order.ask(question!))
    await saveAnswers(files, answers)
    if (answers.right === false) {
      order.say(`Nothing is confirmed. Put the answers right and run again with --answers: ${files.answers}`)
      await saveAnswers(files, { holdfastAnswers: 1, sheets: answers.sheets })
      return false
    }
  }
}

/** The echo: what was read, to be confirmed as right. */
async function lastQuestion(
  dataset: string,
  map: ColumnMap,
  told: readonly string[],
  answers: Answers,
  order: InterviewOrder,
): Promise<readonly Question[]> {
  if (answerAt(answers, ['right']) !== undefined) return []
  const check = await checkedWith(dataset, map, order)
  return [rightQuestion(echoIn(check), told)]
}

function rightQuestion(echo: string, told: readonly string[]): Question {
  return {
    where: ['right'],
    ask: echo === '' ? 'What was read will be told here. Right?' : `${echo} Right?`,
    because: told,
    choices: [
      { answer: true, means: 'yes: confirm the map' },
      { answer: false, means: 'no' },
    ],
    proposed: true,
  }
}

function checkedWith(dataset: string, map: ColumnMap, { today, door }: InterviewOrder): Promise<RecordCheck> {
  const passing = door === undefined ? {} : { door }
  return checkRecords(dataset, { today, columnMap: { ...map, confirmed: true }, ...passing })
}

function echoIn({ records, draft, problems }: RecordCheck): string {
  const stops = problems.filter((one) => one.severity === 'stop').length
  const after =
    stops === 0
      ? ''
      : ` ${stops} ${stops === 1 ? 'problem stops' : 'problems stop'} (holdfast check lists them).`
  // What is missing by the user's own word is said before it is confirmed.
  const absent = problems.filter(({ code }) => code === 'no-such-column' || code === 'no-tightening-column')
  const said = absent.map(({ problem }) => ` ${problem[0]!.toUpperCase()}${problem.slice(1)}`).join('')
  const tables = records ?? draft
  return tables === undefined
    ? `Nothing could be read yet.${said}${after}`
    : `${echoOf(tables)}${said}${after}`
}

async function confirmed(
  dataset: string,
  files: InterviewFiles,
  map: ColumnMap,
  answers: Answers,
  order: InterviewOrder,
): Promise<boolean> {
  const check = await checkedWith(dataset, map, order)
  order.say(echoIn(check))
  if (answers.right !== true) return false
  await saveConfirmed(files, map, answers)
  order.say(`Map: ${files.map}\nAnswers, for next year: ${files.answers}`)
  const tables = check.records ?? check.draft
  if (order.tables !== undefined && tables !== undefined) {
    const { writeReadTables } = await import('../records/interview/writeTables.js')
    const written = await writeReadTables(tables, order.tables, dataset)
    order.say(`As read: ${written.join(', ')}`)
  }
  return true
}
