import type { ChartSpecification } from '../charts/specification.js'
import type { FigureOptions } from '../charts/theme.js'
import type { CohortSummary } from '../cohort/attrition.js'
import type { Cohort } from '../cohort/cohort.js'
import type { CohortDefinition } from '../cohort/definition.js'
import type { MethodName } from '../core/method.js'
import type { Message, Part, Words } from '../messages/message.js'
import type { AdjustedModel } from './adjustedModel/answer.js'
import type { BetweenLooks } from './betweenLooks/answer.js'
import type { ComparisonResult } from './comparison/answer.js'
import type { TighteningComparisonResult } from './crudeComparison/answer.js'
import type { HowOften } from './howOften/answer.js'
import type { IncidenceResult } from './incidence/answer.js'
import type { LifeTableResult } from './lifeTable/answer.js'
import type { AnalysisSettings } from './plan/settings.js'
import type { RetentionResult } from './retention/answer.js'
import type { Block, Table } from './words/blocks.js'
import { type Path, pathsOf } from './words/place.js'

/** What a section may need to know besides its result. */
export interface SectionSetting {
  readonly definition: CohortDefinition
  readonly settings: AnalysisSettings
  /** What else was answered of the same records. */
  readonly answers: AnsweredBefore
}

/** Other answers of an audit: a question that builds on another need not ask it anew, and a section may speak of it. */
export interface AnsweredBefore {
  /** Who is in, and how good the records are. */
  readonly summary?: CohortSummary
  readonly howOften?: HowOften
  readonly incidence?: IncidenceResult
  readonly retention?: RetentionResult
  readonly comparison?: TighteningComparisonResult | undefined
  readonly tightening?: ComparisonResult | undefined
  readonly betweenLooks?: BetweenLooks | undefined
  readonly lifeTable?: LifeTableResult | undefined
  readonly model?: AdjustedModel | undefined
}

/**
 * Places in the results of an audit, for a section that speaks of more than its own answer: `placesIn({ incidence }).incidence`
 * or `placesIn(setting.answers).howOften`. A name that the results do not have does not compile.
 */
export function placesIn(
  results: AnsweredBefore & Partial<SectionSetting>,
): Path<AnsweredBefore & Partial<SectionSetting>> {
  return pathsOf(results)
}

/** A quantity with the results that name its method, for the list of what was done. */
export interface UsedMethods {
  readonly quantity: Message
  readonly used: readonly { readonly method: MethodName; readonly reference: string }[]
}

/**
 * A question of the trade: everything that the toolkit knows about it, in one folder. The audit, its documents, the
 * display in notebooks, the schema of the results and the list of methods are derived from the list of questions
 * (registry.ts).
 */
export interface Question<Kind extends string, Result extends { readonly kind: Kind }> {
  /** Tells its results from others, and names their place in the results of an audit. */
  readonly kind: Kind
  /** Its heading where it is answered by itself. */
  readonly title: Message
  /** Answered at once, before an audit asks what takes longer. */
  readonly first?: true
  /**
   * From a cohort to a frozen result of numbers and codes, without words; undefined where nothing can be asked. `before` is
   * there where an audit asks.
   */
  answer(cohort: Cohort, settings: AnalysisSettings, before?: AnsweredBefore): Result | undefined
  /**
   * Begins what takes long in a thread of its own, while an audit asks other questions; the answer is the same, and waited for
   * when it is asked for.
   */
  begin?(cohort: Cohort, settings: AnalysisSettings): () => Result | undefined
  /**
   * Does what needs none of the answers that this one builds on, while an audit waits for them; the answer is the same as that
   * of `answer` with `before`.
   */
  prepare?(cohort: Cohort, settings: AnalysisSettings): (before: AnsweredBefore) => Result | undefined
  /** Questions whose answers this one reads in `before`. */
  readonly buildsOn?: readonly (keyof AnsweredBefore)[]
  /** What is said of a result; every number by its place. */
  section(result: Result, at: Path<Result>, setting: SectionSetting): readonly Block[]
  /** The figure of the result; absent, or undefined, where there is nothing to draw. */
  chart?(result: Result, options?: FigureOptions): ChartSpecification | undefined
  /** The table that stands for the result where there is room for one only. */
  table?(result: Result, at: Path<Result>, setting: SectionSetting): Table | undefined
  /** Methods that the result names. */
  methods?(result: Result): readonly UsedMethods[]
}

/** What an audit holds, as far as a question may find its result in it. */
export interface HeldResults extends AnsweredBefore {
  readonly definition: CohortDefinition
  readonly summary: CohortSummary
}

/**
 * A question whose answer the results of an audit hold in another place than under its kind, and in more words: who is in and how
 * good the records are is accounted for in the summary of the cohort.
 */
export interface HeldQuestion<Kind extends string, Result extends { readonly kind: Kind }>
  extends Question<Kind, Result> {
  readonly held: {
    /** Where its numbers lie: `summary.quality`; an answer that is put together from others cites them where they lie. */
    readonly place: keyof HeldResults | `summary.${keyof CohortSummary}` | 'answer'
    /** Its result from the results of an audit; undefined where these lack it. */
    readonly of: (results: HeldResults) => Result | undefined
  }
}

/** A question, frozen; its types are those of its answer. */
export function question<Kind extends string, Result extends { readonly kind: Kind }>(
  parts: Question<Kind, Result>,
): Question<Kind, Result> {
  return Object.freeze(parts)
}

/** A question whose answer is held elsewhere, frozen. */
export function heldQuestion<Kind extends string, Result extends { readonly kind: Kind }>(
  parts: HeldQuestion<Kind, Result>,
): HeldQuestion<Kind, Result> {
  return Object.freeze(parts)
}

/** A part of the page that a question has of its own; one without blocks is left out. */
export interface PartOfPage {
  readonly id: string
  readonly title: Message
  readonly blocks: readonly Block[]
  /** Cautions that stand beside it. */
  readonly cautions?: readonly Words[]
  /** Whether its sentences are printed in a terminal, notes aside. */
  readonly inTerminal?: true
}

/** An option of the command that writes the page. */
export interface PageOption<Given> {
  readonly name: keyof Given & string
  /** What is given: a number, a share, or a day. */
  readonly gives: 'number' | 'share' | 'iso'
  readonly says: Message
}

/** The page that a question has of its own, on a practice's own records, and the command that writes it. */
export interface OwnPage<Result, Given> {
  /** Its title, from the name of the records. */
  title(records: Part): Message
  readonly kicker: Message
  summary(result: Result, at: Path<Result>): Message
  parts(result: Result, at: Path<Result>): readonly PartOfPage[]
  /** The command has the name of the question. */
  readonly command: {
    readonly says: Message
    /** What a plan is read for. */
    readonly plan: Message
    readonly options: readonly PageOption<Given>[]
    /** Options of further examples. */
    readonly examples: readonly (readonly string[])[]
  }
  /** The answer to what is asked for besides. */
  answer(cohort: Cohort, settings: AnalysisSettings, given: Given): Result
}

/** A question that has a page of its own. */
export interface PageQuestion<Kind extends string, Result extends { readonly kind: Kind }, Given>
  extends Question<Kind, Result> {
  readonly page: OwnPage<Result, Given>
}

/** A question with a page of its own, frozen; what is said of it elsewhere are the parts of its page. */
export function pageQuestion<Kind extends string, Result extends { readonly kind: Kind }, Given>(
  parts: Omit<PageQuestion<Kind, Result, Given>, 'section'>,
): PageQuestion<Kind, Result, Given> {
  return Object.freeze({
    ...parts,
    section: (result: Result, at: Path<Result>) =>
      parts.page.parts(result, at).flatMap(({ blocks }) => blocks),
  })
}
