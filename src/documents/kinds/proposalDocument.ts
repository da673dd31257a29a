import { type Message, message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import { plannedConfounders } from '../../questions/plan/planFile.js'
import type { PlannedStudy } from '../../questions/plan/plannedStudy.js'
import {
  type Block,
  heading,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../../questions/words/blocks.js'
import { pathsOf } from '../../questions/words/place.js'
import type { ReportDocument, Section } from '../model/document.js'
import { openReferenceList } from '../model/referenceList.js'
import { wordedBlocks } from '../model/worded.js'
import { referencesSection } from '../sections/manuscriptSections.js'
import { type WritingOptions, type WrittenReport, writeReportFolder } from '../writeReport.js'
import {
  analysisParts,
  backgroundParagraphs,
  boardQuestions,
  methodParts,
  type Part,
  planSourceSentence,
  proposalCautions,
  proposalTitle,
  questionParagraphs,
  shareableRows,
  sizeParagraphs,
  synopsisRows,
} from './proposalWords.js'

/** A field of the records as the draft lists it. */
export interface ListedField {
  readonly table: string
  readonly field: string
  readonly meaning: string
}

/** What the draft of a protocol needs to know besides the plan. */
export interface ProposalOptions {
  readonly date: string
  /** Fields that the analysis reads, from the data dictionary. */
  readonly fields: readonly ListedField[]
}

/**
 * Draft of a study protocol from a plan: question, restorations, handling, outcome, size, analysis, data management,
 * de-identification, and the questions of an ethics board with what the plan can answer; the rest is left to the author.
 */
export function proposalDocument(study: PlannedStudy, options: ProposalOptions): ReportDocument {
  const by = speaker()
  const references = openReferenceList()
  const worded = (blocks: readonly Block[]): Section['blocks'] =>
    wordedBlocks(blocks, by, { generated: false, full: true })
  const section = (id: string, title: Message, blocks: readonly Block[]): Section => ({
    id,
    title: by.text(title),
    blocks: worded(blocks),
  })
  const cautions: Block = { kind: 'list', items: proposalCautions }
  const text = [
    {
      ...section('answer', message('proposal.section-synopsis'), [synopsisTable(study)]),
      aside: { title: by.text(message('proposal.before-sending')), blocks: worded([cautions]) },
    },
    section('background', message('proposal.section-background'), paragraphs(backgroundParagraphs)),
    section('question', message('proposal.section-question'), paragraphs(questionParagraphs(study))),
    section('methods', message('proposal.section-methods'), methodParts(study).flatMap(part)),
    section('size', message('proposal.section-size'), [
      paragraph(sizeParagraphs(study, references)),
      ...(study.sizes.length === 0 ? [] : [sizesTable(study)]),
    ]),
    section('analysis', message('proposal.section-analysis'), analysisParts(study, references).flatMap(part)),
    section('data', message('proposal.section-data'), dataBlocks(options.fields)),
    section('protection', message('proposal.section-deidentification'), protectionBlocks()),
    section('ethics', message('proposal.section-ethics'), [ethicsTable()]),
  ]
  return {
    layout: 'compact',
    title: by.phrase(proposalTitle(study)),
    kicker: by.text(message('proposal.kicker')),
    summary: by.phrase(message('proposal.summary')),
    generated: false,
    date: options.date,
    sections: [
      ...text,
      referencesSection({ references }),
      section('provenance', message('proposal.section-provenance'), [
        paragraph(planSourceSentence(study)),
        planTable(study),
      ]),
    ],
  }
}

function paragraphs(contents: readonly Words[]): readonly Block[] {
  return contents.map((content) => paragraph(content))
}

function part([title, contents]: Part): readonly Block[] {
  return [heading(title), ...paragraphs(contents)]
}

function synopsisTable(study: PlannedStudy): Table {
  return table('synopsis', message('proposal.caption-synopsis'), {
    columns: [textColumn(message('proposal.column-part')), textColumn(message('proposal.column-answer'))],
    rows: synopsisRows(study).map(({ part: name, answer }) => [wordCell(name), wordCell(answer)]),
  })
}

function sizesTable(study: PlannedStudy): Table {
  const { sizes } = pathsOf(study)
  return table('sizes', message('proposal.caption-sizes'), {
    columns: [
      numberColumn(message('proposal.column-risk')),
      numberColumn(message('proposal.column-risk-of-group')),
      numberColumn(message('proposal.column-independent')),
      numberColumn(message('proposal.column-per-group')),
      numberColumn(message('proposal.column-together')),
      numberColumn(message('proposal.column-events')),
    ],
    rows: study.sizes.map((_one, index) => {
      const at = sizes[index]!
      return [
        numberCell(at.assumedRisk, 'percent'),
        numberCell(at.assumedRiskOfGroup, 'percent'),
        numberCell(at.perGroupIndependent),
        numberCell(at.perGroup),
        numberCell(at.together),
        numberCell(at.events),
      ]
    }),
  })
}

function dataBlocks(fields: readonly ListedField[]): readonly Block[] {
  return [
    ...part([message('proposal.heading-records'), [message('proposal.data-records')]]),
    table('fields', message('proposal.caption-fields'), {
      columns: [
        textColumn(message('proposal.column-table')),
        textColumn(message('proposal.column-field')),
        textColumn(message('proposal.column-meaning')),
      ],
      rows: fields.map((one) => [wordCell(one.table), wordCell(one.field), wordCell(one.meaning)]),
    }),
    ...part([message('proposal.heading-checks'), [message('proposal.data-checks')]]),
    ...part([message('proposal.heading-keeping'), [message('proposal.data-keeping')]]),
  ]
}

function protectionBlocks(): readonly Block[] {
  return [
    ...part([message('proposal.heading-stays'), [message('proposal.protection-stays')]]),
    ...part([message('proposal.heading-leaves'), [message('proposal.protection-leaves')]]),
    table('shareable', message('proposal.caption-shareable'), {
      columns: [textColumn(message('proposal.column-detail')), textColumn(message('proposal.column-shared'))],
      rows: shareableRows.map(([detail, shared]) => [wordCell(detail), wordCell(shared)]),
    }),
  ]
}

function ethicsTable(): Table {
  return table('ethics', message('proposal.caption-ethics'), {
    columns: [textColumn(message('proposal.column-question')), textColumn(message('proposal.column-answer'))],
    rows: boardQuestions.map(({ question, answer }) => [wordCell(question), wordCell(answer)]),
  })
}

function planTable({ plan }: PlannedStudy): Table {
  const { sha256: _hash, source: _source, sensitivity: _all, adjustFor: _own, ...rest } = plan
  const fields = { ...rest, adjustFor: plannedConfounders(plan) }
  return table('plan', message('proposal.caption-plan'), {
    columns: [
      textColumn(message('proposal.column-plan-field')),
      textColumn(message('proposal.column-value')),
    ],
    rows: Object.entries(fields)
      .filter(([, value]) => value !== undefined)
      .map(([name, value]) => [wordCell(name), wordCell(foreign(JSON.stringify(value)))]),
  })
}

/** Options of a written draft of a study protocol. */
export interface WriteProposalOptions extends WritingOptions {
  readonly date: string
  readonly version: string
  /** Fields that the analysis reads, from the data dictionary. */
  readonly fields: readonly ListedField[]
}

/**
 * Writes the draft of a study protocol in every format of a report: what the plan decides is there, and what only the
 * author knows is marked.
 *
 * @param study result of `plannedStudy`
 */
export async function writeProposal(
  study: PlannedStudy,
  options: WriteProposalOptions,
): Promise<WrittenReport> {
  const { date, fields, version } = options
  return writeReportFolder(
    {
      kind: 'protocol',
      document: proposalDocument(study, { date, fields }),
      results: study,
      provenance: { definition: study.definition, settings: study.assumptions },
      version,
    },
    options,
  )
}
