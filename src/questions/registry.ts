import type { Cohort } from '../cohort/cohort.js'
import type { Message } from '../messages/message.js'
import { modelQuestion } from './adjustedModel/question.js'
import { answerQuestion } from './answer/question.js'
import { whatWasAsked } from './answered.js'
import { attritionQuestion } from './attrition/question.js'
import { betweenLooksQuestion } from './betweenLooks/question.js'
import { characteristicsQuestion } from './characteristics/question.js'
import { clinicFunnelQuestion } from './clinicFunnel/question.js'
import { comparisonQuestion } from './comparison/question.js'
import { crudeComparisonQuestion } from './crudeComparison/question.js'
import { hazardOverTimeQuestion } from './hazardOverTime/question.js'
import { howOftenQuestion } from './howOften/question.js'
import { incidenceQuestion } from './incidence/question.js'
import { lifeTableQuestion } from './lifeTable/question.js'
import { literatureQuestion } from './literature/question.js'
import { neededQuestion } from './needed/question.js'
import type { AnalysisSettings } from './plan/settings.js'
import { protocolChangeQuestion } from './protocolChange/question.js'
import { qualityQuestion } from './quality/question.js'
import type {
  AnsweredBefore,
  HeldQuestion,
  HeldResults,
  PageQuestion,
  Question,
  SectionSetting,
  UsedMethods,
} from './question.js'
import { removalTorqueQuestion } from './removalTorque/question.js'
import { repeatsQuestion } from './repeats/question.js'
import { retentionQuestion } from './retention/question.js'
import { seriesQuestion } from './series/question.js'
import { torqueQuestion } from './torque/question.js'
import { trendQuestion } from './trend/question.js'
import { waitQuestion } from './wait/question.js'
import { watchQuestion } from './watching/question.js'
import type { Block } from './words/blocks.js'
import { pathsOf } from './words/place.js'

/** Every question that an audit asks, in the order in which they are answered. To add one, add its line here. */
export const questions = Object.freeze([
  attritionQuestion,
  qualityQuestion,
  howOftenQuestion,
  answerQuestion,
  incidenceQuestion,
  retentionQuestion,
  crudeComparisonQuestion,
  characteristicsQuestion,
  modelQuestion,
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
 * Questions that have a page of their own, of a practice on its own records: each is a command, a kind of report and a value that a
 * cell shows. `watch` is asked by itself only, since it is for inside.
 */
export const ownQuestions = Object.freeze([neededQuestion, watchQuestion] as const)

type Registered = (typeof questions)[number]

/** Names of the questions. */
export type QuestionKind = Registered['kind']

/** Questions whose answers the results of an audit hold elsewhere. */
type Held = Extract<Registered, { readonly held: object }>

/** Questions whose answers lie under their names. */
type Stored = Exclude<Registered, Held>

type ResultOf<One> = One extends Question<string, infer Result> ? Result : never

/** Answers by the name of their question; what could not be asked is absent. */
export type Answers = { readonly [One in Stored as One['kind']]?: ResultOf<One> | undefined }

/** Questions that are answered at once, and of every cohort. */
type First = 'incidence' | 'retention'

/** Answers of the questions that are answered at once. */
export type FirstAnswers = { readonly [Kind in First]: NonNullable<Answers[Kind]> } & Pick<
  Answers,
  'comparison'
>

type StoredQuestion = Question<Stored['kind'], NonNullable<Answers[Stored['kind']]>>

type AnyQuestion = Question<QuestionKind, QuestionResult> &
  Partial<Pick<HeldQuestion<QuestionKind, QuestionResult>, 'held'>>

const registered = questions as unknown as readonly AnyQuestion[]
const stored = registered.filter(({ held }) => held === undefined) as unknown as readonly StoredQuestion[]

type Own = (typeof ownQuestions)[number]

/** A result of a question that has a page of its own. */
export type OwnResult = ResultOf<Own>

/** A question that has a page of its own, whichever. */
export type OwnQuestion = PageQuestion<OwnResult['kind'], OwnResult, Readonly<Record<string, unknown>>>

/** Whether a value is the answer to a question that has a page of its own. */
export function isOwn(value: object): value is OwnResult {
  const { kind } = value as { readonly kind?: unknown }
  return ownQuestions.some((one) => one.kind === kind)
}

/** The question that has a page of its own, of its answer. */
export function ownQuestionOf({ kind }: OwnResult): OwnQuestion {
  return ownQuestions.find((one) => one.kind === kind) as unknown as OwnQuestion
}

/** What is said of the answer to a question that has a page of its own: it needs to know nothing but its result. */
export function ownBlocksOf(result: OwnResult): readonly Block[] {
  return ownQuestionOf(result).section(result, pathsOf(result), {} as never)
}

/** A result of any question. */
export type QuestionResult = NonNullable<Answers[Stored['kind']]> | ResultOf<Held>

/** Heading and blocks of an answer that is shown by itself; undefined for what no question answered here. */
export function alone(
  result: object,
): { readonly title: Message; readonly blocks: readonly Block[]; readonly generated: boolean } | undefined {
  const asked = whatWasAsked(result)
  const one = questions.find(({ kind }) => kind === (result as { readonly kind?: unknown }).kind)
  if (asked === undefined || one === undefined) return undefined
  const { section } = one as unknown as Question<QuestionKind, QuestionResult>
  const blocks = section(result as QuestionResult, pathsOf(result) as never, asked)
  return { title: one.title, blocks, generated: asked.generated }
}

/** The question of a name or of a result. */
export function questionOf(kind: QuestionKind): AnyQuestion {
  return registered.find((one) => one.kind === kind)!
}

/** Answers that are under way, by the name of their question. */
export type BegunAnswers = { readonly [One in Stored as One['kind']]?: () => ResultOf<One> | undefined }

/** The same, of which some may come from another thread. */
export type AwaitedAnswers = {
  readonly [One in Stored as One['kind']]?: () =>
    | ResultOf<One>
    | undefined
    | Promise<ResultOf<One> | undefined>
}

/** Begins the questions that can go on in threads of their own. */
export function beginAnswers(cohort: Cohort, settings: AnalysisSettings): BegunAnswers {
  return Object.fromEntries(
    stored.flatMap(({ kind, begin }) => (begin === undefined ? [] : [[kind, begin(cohort, settings)]])),
  )
}

/** Asks a cohort the questions that are answered at once. */
export function firstAnswers(cohort: Cohort, settings: AnalysisSettings): FirstAnswers {
  const first = stored.filter((one) => one.first === true)
  return Object.fromEntries(first.map((one) => [one.kind, one.answer(cohort, settings)])) as FirstAnswers
}

/**
 * Asks a cohort every question, one after the other: each knows what was answered before. Those that were begun come last, with
 * those that build on them.
 *
 * @param before what was answered already, such as {@link firstAnswers}
 * @param onProgress told the share of the questions that are answered, from 0 to 1
 * @param begun what {@link beginAnswers} began; by default nothing
 */
export function answersOf(
  cohort: Cohort,
  settings: AnalysisSettings,
  before: AnsweredBefore = {},
  onProgress: (share: number) => void = () => undefined,
  begun: BegunAnswers = {},
): Answers {
  const answers: Record<string, unknown> = { ...before }
  const all = inTurn(before, begun)
  all.forEach((one, index) => {
    onProgress(index / all.length)
    const under = begun[one.kind]
    answers[one.kind] =
      under === undefined ? one.answer(cohort, settings, answers as AnsweredBefore) : under()
  })
  onProgress(1)
  return inOrder(answers)
}

/** The same, where some answers are awaited. */
export async function awaitedAnswers(
  cohort: Cohort,
  settings: AnalysisSettings,
  before: AnsweredBefore,
  onProgress: (share: number) => void,
  begun: AwaitedAnswers,
): Promise<Answers> {
  const answers: Record<string, unknown> = { ...before }
  const all = inTurn(before, begun)
  const prepared = new Map<Stored['kind'], (before: AnsweredBefore) => QuestionResult | undefined>()
  for (const [index, one] of all.entries()) {
    onProgress(index / all.length)
    const under = begun[one.kind]
    if (under !== undefined) {
      const coming = under()
      // Only while another thread works is there time to do what may turn out not to be asked.
      if (coming instanceof Promise) prepare(cohort, settings, begun, prepared)
      answers[one.kind] = await coming
    } else {
      const known = answers as AnsweredBefore
      const ready = prepared.get(one.kind)
      answers[one.kind] = ready === undefined ? one.answer(cohort, settings, known) : ready(known)
    }
  }
  onProgress(1)
  return inOrder(answers)
}

/** Prepares the questions that build on what was begun. */
function prepare(
  cohort: Cohort,
  settings: AnalysisSettings,
  begun: AwaitedAnswers,
  prepared: Map<Stored['kind'], (before: AnsweredBefore) => QuestionResult | undefined>,
): void {
  for (const one of stored) {
    if (one.prepare !== undefined && rankOf(one, begun) === 2 && !prepared.has(one.kind))
      prepared.set(one.kind, one.prepare(cohort, settings))
  }
}

/** All questions as they are asked: what was begun last, and what builds on it after it. */
function inTurn(before: AnsweredBefore, begun: AwaitedAnswers): readonly StoredQuestion[] {
  return stored
    .filter(({ kind }) => !Object.hasOwn(before, kind))
    .sort((one, other) => rankOf(one, begun) - rankOf(other, begun))
}

/** 0 for a question that hangs on nothing begun, 1 for one that was begun, 2 for one that builds on such. */
function rankOf({ kind, buildsOn }: StoredQuestion, begun: AwaitedAnswers): 0 | 1 | 2 {
  if (begun[kind] !== undefined) return 1
  return buildsOn?.some((one) => (begun as Readonly<Record<string, unknown>>)[one] !== undefined) === true
    ? 2
    : 0
}

/** Answers in the order of their questions. */
function inOrder(answers: Readonly<Record<string, unknown>>): Answers {
  return Object.fromEntries(stored.map(({ kind }) => [kind, answers[kind]]))
}

/** Results of an audit, in which every question finds its answer. */
export type AuditedResults = Answers & HeldResults

/** The answer to a question among the results of an audit; undefined where it could not be asked. */
function resultIn({ kind, held }: AnyQuestion, results: AuditedResults): QuestionResult | undefined {
  return held === undefined ? results[kind as Stored['kind']] : held.of(results)
}

/** What is said of the answers to some questions, in this order. */
export function blocksOf(
  kinds: readonly QuestionKind[],
  results: AuditedResults,
  setting: Omit<SectionSetting, 'answers'>,
): readonly Block[] {
  return kinds.flatMap((kind) => {
    const one = questionOf(kind)
    const result = resultIn(one, results)
    if (result === undefined) return []
    const at = pathsOf(result, one.held?.place ?? kind)
    return one.section(result, at as never, { ...setting, answers: results })
  })
}

/** Methods that the answers name. */
export function usedMethods(results: AuditedResults): readonly UsedMethods[] {
  return registered.flatMap((one) => {
    const result = resultIn(one, results)
    return result === undefined ? [] : (one.methods?.(result) ?? [])
  })
}
