import { existsSync } from 'node:fs'
import { rename, rm } from 'node:fs/promises'
import { UsageError } from '../../core/errors.js'
import { writeWhole } from '../../core/wholeFiles.js'
import { type ColumnMap, columnMapText } from '../understand/columnMap.js'
import { columnMapPath, readColumnMap } from '../understand/findColumnMap.js'
import { type Answers, noAnswers, noColumn, readAnswers } from './answers.js'
import type { Choice, Question } from './questions.js'

/** Files of an interview beside its data set. */
export interface InterviewFiles {
  readonly map: string
  readonly answers: string
  readonly questions: string
}

/** Where the map, the answers and the open questions of a data set are kept. */
export async function interviewFiles(path: string): Promise<InterviewFiles> {
  const map = await columnMapPath(path)
  const stem = map.replace(/\.map\.json$/, '')
  return { map, answers: `${stem}.answers.json`, questions: `${stem}.questions.json` }
}

/**
 * Refuses to go over a confirmed map unless that is asked for; then the map and its answers are kept beside the new ones.
 *
 * @throws UsageError `map-confirmed`
 */
export async function keepConfirmed(files: InterviewFiles, redo: boolean): Promise<readonly string[]> {
  if (!existsSync(files.map)) return []
  const old = await readColumnMap(files.map).catch(() => undefined)
  if (old?.confirmed !== true) return []
  if (!redo) {
    throw new UsageError({
      code: 'map-confirmed',
      problem: `there is a confirmed map already: ${files.map}.`,
      expected: 'a data set without a map, or the wish to make a new one.',
      mend: 'add --redo to answer anew; the old map is kept beside the new one.',
    })
  }
  const kept: string[] = []
  for (const file of [files.map, files.answers]) {
    if (!existsSync(file)) continue
    let turn = 1
    while (existsSync(`${file}.old-${turn}`)) turn++
    await rename(file, `${file}.old-${turn}`)
    kept.push(`${file}.old-${turn}`)
  }
  return kept
}

/** Answers given so far, where an interview was stopped. */
export async function answersSoFar({ answers }: InterviewFiles): Promise<Answers> {
  return existsSync(answers) ? readAnswers(answers) : noAnswers
}

/** Saves the answers given so far; whole or not at all. */
export async function saveAnswers({ answers }: InterviewFiles, given: Answers): Promise<void> {
  await writeOwn(answers, `${JSON.stringify(given, null, 2)}\n`)
}

/** Saves the map as confirmed, with its answers, and takes away the list of open questions. */
export async function saveConfirmed(files: InterviewFiles, map: ColumnMap, given: Answers): Promise<void> {
  await saveAnswers(files, given)
  await writeOwn(files.map, columnMapText({ ...map, confirmed: true }))
  await rm(files.questions, { force: true })
}

/** Writes the open questions so that they can be filled in and given back as answers. */
export async function saveQuestions(
  files: InterviewFiles,
  given: Answers,
  open: readonly Question[],
): Promise<void> {
  const listed = open.map(({ where, ask, because, choices, proposed }) => ({
    id: where.join(' › '),
    where,
    ask,
    because,
    ...(choices === undefined ? {} : { choices: choices.map(spelt) }),
    ...(proposed === undefined ? {} : { proposed: proposed ?? noColumn }),
    answer: null,
  }))
  await writeOwn(files.questions, `${JSON.stringify({ ...given, open: listed }, null, 2)}\n`)
}

/** In the list null means that there is no answer yet. */
function spelt({ answer, means }: Choice): Choice {
  return { answer: answer ?? noColumn, means }
}

/** Answers tell of the records: for the owner alone. */
function writeOwn(path: string, content: string): Promise<void> {
  return writeWhole([{ path, content, mode: 0o600 }])
}
