import { firstLanguage } from '../../messages/catalogue.js'
import { message, type Part } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { armsTable, challengesTable, restSentences } from '../../questions/comparison/section.js'
import { fewEventsBelow } from '../../questions/howOften/fewEvents.js'
import { neededSentence, neededTable } from '../../questions/needed/section.js'
import { blocksOf, type QuestionKind } from '../../questions/registry.js'
import { mainGroups } from '../../questions/retention/section.js'
import { paragraph, sentences, type Block as UnwordedBlock } from '../../questions/words/blocks.js'
import { pathsOf } from '../../questions/words/place.js'
import { citationsOf } from '../model/citation.js'
import {
  type Block,
  foreign,
  type Phrase,
  paragraph as plain,
  type ReportDocument,
  type Section,
  type Table,
} from '../model/document.js'
import { languageOf } from '../model/documentLanguages.js'
import { madeOnce } from '../model/madeOnce.js'
import { wordedBlocks } from '../model/worded.js'
import { answerSection } from '../sections/answerSection.js'
import type { SectionContext } from '../sections/context.js'
import { limitationBlocks } from '../sections/methodSections.js'
import { definitions, furtherCautions, methodsParagraphs, oftenSentences } from '../wording/index.js'
import { auditDocument, type ReportOptions } from './auditDocument.js'
import { mainFigure } from './summaryDocument.js'
import { comparisonOf, recordingSteps, verdictOf } from './summaryWords.js'

/** Most rows of the table of who was studied. */
const mostRows = 12

/** Terms that the report explains; the supplement has all. */
const mostTerms = 5

/** Questions of which the report has one line each, in order. */
const actedOn = [
  'wait',
  'torque',
  'repeats',
  'protocolChange',
  'trend',
  'hazardOverTime',
  'clinicFunnel',
  'literature',
] as const satisfies readonly QuestionKind[]

/** Questions whose numbers say nothing where the risk of the practice is withheld. */
const silentWhereWithheld: readonly QuestionKind[] = ['literature', 'trend']

/** Sections that the report has only where enough events were seen. */
export const silentWithFewEvents: readonly string[] = ['fair', 'overturn']

/** Whether years and events are enough to speak of a trend. */
function trendSays({ trend }: AuditResult): boolean {
  return trend !== undefined && trend.verdict !== 'few-years' && trend.verdict !== 'few-events'
}

/**
 * The report that is read: at most eight printed pages, four where fewer than ten events were seen. It says what the
 * whole evidence says, and nothing of its own.
 */
export const shortReport = madeOnce((audit: AuditResult, options: ReportOptions): ReportDocument => {
  const by = speaker(languageOf(options.language, 'report'))
  const evidence = auditDocument(audit, options)
  const context = { audit, cite: citationsOf(audit, by), version: options.version }
  const few = audit.incidence.overall.events < fewEventsBelow
  const sections = [
    openingSection(context),
    whoSection(context, evidence, few),
    oftenSection(context, evidence, few),
    ...(few ? [] : [comparedSection(context, evidence), overturnSection(context)]),
    actSection(context, few),
    { id: 'limitations', title: by.text(message('report.limits')), blocks: limitationBlocks(context) },
    closingSection(context, few),
  ]
  return { ...evidence, layout: 'brief', sections: sections.filter(({ blocks }) => blocks.length > 0) }
})

function worded({ audit, cite }: SectionContext, ...blocks: readonly UnwordedBlock[]): readonly Block[] {
  return wordedBlocks(blocks, cite.by, { generated: audit.summary.source.generated, full: true })
}

/** Table or figure of the evidence. */
function taken(evidence: ReportDocument, ...ids: readonly string[]): readonly Block[] {
  const blocks = evidence.sections.flatMap((section) => section.blocks)
  return ids.flatMap((id) => blocks.filter((block) => 'id' in block && block.id === id))
}

/** The answer, its figure in the first view, then what stands beside it. */
function openingSection(context: SectionContext): Section {
  const { audit, cite } = context
  const section = answerSection(context)
  const [often, ...beside] = oftenSentences(audit)
  const rest = section.blocks.filter((block) => block.kind !== 'paragraph' || block.tone !== 'lead')
  return {
    ...section,
    blocks: [
      ...worded(
        context,
        ...(often === undefined ? [] : [paragraph(often, 'lead')]),
        ...verdictOf(audit).map((one) => paragraph(one, 'lead')),
      ),
      ...mainFigure(audit, cite.by),
      ...worded(context, ...(beside.length === 0 ? [] : [paragraph(spaced(beside))])),
      ...rest,
    ],
  }
}

function spaced<T>(sentences: readonly T[]): (T | string)[] {
  return sentences.flatMap((one, index) => (index === 0 ? [one] : [' ', one]))
}

function whoSection({ audit, cite }: SectionContext, evidence: ReportDocument, few: boolean): Section {
  const cohort = evidence.sections.find(({ id }) => id === 'cohort')?.blocks ?? []
  const described = evidence.sections.find(({ id }) => id === 'described')?.blocks ?? []
  const table = described.find((block): block is Table => block.kind === 'table')
  return {
    id: 'who',
    title: cite.text('report.who'),
    blocks: [
      ...cohort.filter((block) => block.kind === 'paragraph').slice(0, 1),
      ...taken(evidence, 'figure-attrition'),
      ...(table === undefined || few ? [] : [unbalancedFirst(table, audit, cite.by)]),
    ],
  }
}

/** The rows of the characteristics that set the groups apart most; where none are compared, the first. */
function unbalancedFirst(table: Table, audit: AuditResult, by: Speaker): Table {
  const compared = audit.characteristics?.compared !== undefined
  const [size, ...rows] = table.rows
  const apart = (row: Table['rows'][number]): number => {
    const last = row.at(-1)?.csv[0]
    return last !== undefined && 'number' in last ? Math.abs(Number(last.number)) : -1
  }
  const chosen = compared ? [...rows].sort((one, two) => apart(two) - apart(one)) : rows
  return {
    ...table,
    id: 'table-who',
    caption: by.text(message(compared ? 'report.who-table' : 'report.who-table-all')),
    rows: [...(size === undefined ? [] : [size]), ...chosen].slice(0, mostRows),
    notes: [...table.notes.slice(0, 1), by.phrase(message('report.who-table-note'))],
  }
}

/** One curve and one table: all restorations and the groups compared. A figure of one column stands first, so that text and table stand beside it in print. */
function oftenSection({ audit, cite }: SectionContext, evidence: ReportDocument, few: boolean): Section {
  const incidence = evidence.sections.find(({ id }) => id === 'incidence')?.blocks ?? []
  const table = incidence.find(
    (block): block is Table => block.kind === 'table' && block.id === 'table-risks',
  )
  const shown = new Set(mainFigure(audit, cite.by).map(({ id }) => id))
  const seen = audit.incidence.overall.events > 0 && audit.howOften.reason !== 'left-out'
  return {
    id: 'incidence',
    title: cite.text('report.how-often'),
    blocks: [
      ...(few
        ? worded(
            { audit, cite } as SectionContext,
            paragraph(message('report.few', { least: fewEventsBelow }), 'note'),
          )
        : []),
      ...(seen && !few
        ? taken(evidence, 'figure-incidence').filter((block) => !('id' in block && shown.has(block.id)))
        : []),
      ...incidence.filter((block) => block.kind === 'paragraph').slice(0, 1),
      ...(table === undefined || !seen ? [] : [mainRisks(table, audit, cite.by)]),
    ],
  }
}

function mainRisks(table: Table, audit: AuditResult, by: Speaker): Table {
  const groups = mainGroups(audit)
  const kept = audit.incidence.byGroup.flatMap(({ group }, index) =>
    groups.includes(group) ? [index + 1] : [],
  )
  const rows = [0, ...kept].flatMap((index) => table.rows.slice(index, index + 1))
  const marked = rows.some((row) => row.some(({ content }) => content.includes(' †')))
  return {
    ...table,
    id: 'table-risks-main',
    caption: by.text(message('report.risks')),
    rows,
    notes: marked ? table.notes.slice(0, 1) : [],
  }
}

function comparedSection(context: SectionContext, evidence: ReportDocument): Section {
  const { audit } = context
  const parts = comparisonOf(audit)
  const frame = { id: 'fair', title: context.cite.text('report.compared') }
  if (parts === undefined || parts.result.lead === undefined) return { ...frame, blocks: [] }
  const { result, at, setting } = parts
  return {
    ...frame,
    blocks: [
      ...taken(evidence, 'figure-comparison-balance'),
      ...worded(
        context,
        ...restSentences(result, at, setting)
          .slice(0, 1)
          .map((one) => paragraph(one)),
      ),
      ...(result.arms.length > 0 && taken(evidence, 'table-comparison-arms').length > 0
        ? worded(context, armsTable(result, at, setting))
        : []),
      ...taken(evidence, 'figure-comparison-forest'),
    ],
  }
}

/** Challenges by size: what contradicts first. */
function overturnSection(context: SectionContext): Section {
  const parts = comparisonOf(context.audit)
  const frame = { id: 'overturn', title: context.cite.text('report.overturn') }
  if (parts === undefined || parts.result.challenges.length === 0) return { ...frame, blocks: [] }
  const { result, at, setting } = parts
  const blocks = [
    ...restSentences(result, at, setting)
      .slice(1)
      .map((one) => paragraph(one)),
    challengesTable(result, at),
    ...neededParts(context.audit),
  ]
  return { ...frame, blocks: worded(context, ...blocks) }
}

/** What it would take, where the comparison claims nothing: one sentence and one table. */
function neededParts(audit: AuditResult): readonly UnwordedBlock[] {
  const { needed } = audit
  if (needed === undefined) return []
  const at = pathsOf(audit).needed
  return [paragraph(neededSentence(needed, at)), neededTable(needed, at)]
}

/** One line for each question: its main sentence. */
function actSection({ audit, cite }: SectionContext, few: boolean): Section {
  const { by } = cite
  const setting = { definition: audit.definition, settings: audit.settings }
  const withheld = audit.howOften.reason === 'left-out'
  const asked = (few ? actedOn.slice(0, 2) : actedOn).filter(
    (kind) => !((withheld && silentWhereWithheld.includes(kind)) || (kind === 'trend' && !trendSays(audit))),
  )
  const items = asked.flatMap((kind): readonly Phrase[] => {
    const first = blocksOf([kind], audit, setting).find((block) => block.kind === 'paragraph')
    if (first === undefined) return []
    const question = message(`report.question.${kind}`)
    return [by.phrase(message('report.act-item', { question, answer: [first.content].flat() as never }))]
  })
  const recording = recordingSteps(audit)
  const record = message('report.act-item', {
    question: message('report.record'),
    answer: sentences(...recording) as Part,
  })
  return {
    id: 'act',
    title: by.text(message('report.act')),
    blocks: [{ kind: 'list', items: few ? [by.phrase(record), ...items] : [...items, by.phrase(record)] }],
  }
}

/** Methods, terms, cautions and source: short, the supplement has the rest. */
function closingSection(context: SectionContext, few: boolean): Section {
  const { audit, cite, version } = context
  const methods = methodsParagraphs(audit, cite, version)
  const source = message('report.source', { source: foreign(audit.summary.source.title) })
  return {
    id: 'methods',
    title: cite.text('report.methods'),
    blocks: [
      ...(few ? methods.slice(0, 2) : methods).map((content) => plain(content)),
      ...worded(context, paragraph(source)),
      { kind: 'terms', entries: definitions(audit, cite).slice(0, mostTerms) },
      {
        kind: 'list',
        items: furtherCautions(audit, cite),
      },
      ...(cite.by.language === firstLanguage ? [] : [plain(cite.say('document.translated'), 'note')]),
    ],
  }
}
