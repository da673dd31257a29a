import type { AnalysisSettings } from '../analysis/settings.js'
import type { Cohort } from '../cohort/cohort.js'
import { betweenLooksQuestion } from './betweenLooks/question.js'
import type { Block } from './blocks.js'
import { clinicFunnelQuestion } from './clinicFunnel/question.js'
import { comparisonQuestion } from './comparison/question.js'
import { hazardOverTimeQuestion } from './hazardOverTime/question.js'
import { lifeTableQuestion } from './lifeTable/question.js'
import { literatureQuestion } from './literature/question.js'
import { neededQuestion } from './needed/question.js'
import { pathsOf } from './place.js'
import { protocolChangeQuestion } from './protocolChange/question.js'
import type { AnsweredBefore, Question, SectionSetting, UsedMethods } from './question.js'
import { removalTorqueQuestion } from './removalTorque/question.js'
import { repeatsQuestion } from './repeats/question.js'
import { seriesQuestion } from './series/question.js'
import { torqueQuestion } from './torque/question.js'
import { trendQuestion } from './trend/question.js'
import { waitQuestion } from './wait/question.js'
import { watchQuestion } from './watching/question.js'

/** Every question that an audit asks, in the order in which they are answered. To add one, add its line here. */
export const questions = Object.freeze([
  comparisonQuestion,
  neededQuestion,
  waitQuestion,
  protocolChangeQuestion,
  trendQuestion,
  torqueQuestion,
  removalTorqueQuestion,
  repeatsQuestion,
  literatureQuestion,
  hazardOverTimeQuestion,
  clinicFunnelQuestion,
  lifeTableQuestion,
  betweenLooksQuestion,
  seriesQuestion,
] as const)

/**
 * Questions that have a page of their own, of a practice on its own records; `watch` is asked by itself only, since it is for
 * inside.
 */
export const ownQuestions = Object.freeze([neededQuestion, watchQuestion] as const)

type Registered = (typeof questions)[number]

/** Names of the questions. */
export type QuestionKind = Registered['kind']

type ResultOf<One> = One extends Question<string, infer Result> ? Result : never

/** Answers by the name of their question; what could not be asked is absent. */
export type Answers = { readonly [One in Registered as One['kind']]?: ResultOf<One> | undefined }

/** A result of a question that has a page of its own. */
export type OwnResult = ResultOf<(typeof ownQuestions)[number]>

/** What is said of the answer to a question that has a page of its own: it needs to know nothing but its result. */
export function ownBlocksOf(result: OwnResult): readonly Block[] {
  const one = ownQuestions.find(({ kind }) => kind === result.kind)!
  return one.section(result as never, pathsOf(result) as never, {} as never)
}

/** A result of any question. */
export type QuestionResult = NonNullable<Answers[QuestionKind]>

/** The question of a name or of a result. */
export function questionOf(kind: QuestionKind): Question<QuestionKind, QuestionResult> {
  return questions.find((one) => one.kind === kind) as unknown as Question<QuestionKind, QuestionResult>
}

/**
 * Asks a cohort every question, one after the other: each knows what was answered before.
 *
 * @param onProgress told the share of the questions that are answered, from 0 to 1
 */
export function answersOf(
  cohort: Cohort,
  settings: AnalysisSettings,
  onProgress: (share: number) => void = () => undefined,
): Answers {
  const answers: Record<string, unknown> = {}
  questions.forEach((one, index) => {
    onProgress(index / questions.length)
    answers[one.kind] = one.answer(cohort, settings, answers as AnsweredBefore)
  })
  onProgress(1)
  return answers
}

/** What is said of the answers to some questions, in this order. */
export function blocksOf(
  kinds: readonly QuestionKind[],
  answers: Answers,
  setting: SectionSetting,
): readonly Block[] {
  return kinds.flatMap((kind) => {
    const result = answers[kind]
    return result === undefined
      ? []
      : questionOf(kind).section(result, pathsOf(result, kind) as never, setting)
  })
}

/** Methods that the answers name. */
export function usedMethods(answers: Answers): readonly UsedMethods[] {
  return questions.flatMap(({ kind }) => {
    const result = answers[kind]
    return result === undefined ? [] : (questionOf(kind).methods?.(result) ?? [])
  })
}
