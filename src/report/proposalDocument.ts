import type { PlannedStudy } from '../analysis/plannedStudy.js'
import { captionedTable, type TableParts } from './captioned.js'
import { numberCell, numberColumn, phraseCell, textColumn, wordCell } from './cells.js'
import { type Citations, citationsOf } from './citation.js'
import {
  type Block,
  blank,
  foreign,
  type Phrase,
  paragraph,
  phrase,
  plainText,
  type ReportDocument,
  type Section,
  type Table,
} from './document.js'
import { openReferenceList, type ReferenceList } from './referenceList.js'
import { referencesSection } from './sections/manuscriptSections.js'
import {
  analysisParts,
  backgroundParagraphs,
  boardQuestions,
  dataParagraphs,
  methodParts,
  planSourceSentence,
  proposalCautions,
  proposalLabels,
  proposalTitle,
  protectionParagraphs,
  questionParagraphs,
  shareableRows,
  sizeParagraphsOfPlan,
  synopsisRows,
} from './wording.js'

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

interface ProposalContext {
  readonly study: PlannedStudy
  readonly cite: Citations
  readonly references: ReferenceList
}

const { sections, headings, columns, captions } = proposalLabels

/**
 * Draft of a study protocol from a plan: question, restorations, handling, outcome, size, analysis, data management,
 * de-identification, and the questions of an ethics board with what the plan can answer; the rest is left to the author.
 */
export function proposalDocument(study: PlannedStudy, options: ProposalOptions): ReportDocument {
  const cite = citationsOf(study)
  const context = { study, cite, references: openReferenceList() }
  const text = [
    synopsisSection(context),
    plainSection('background', sections.background, backgroundParagraphs),
    plainSection('question', sections.question, questionParagraphs(study, cite)),
    methodsSection(context),
    sizeSection(context),
    analysisSection(context),
    dataSection(options.fields),
    protectionSection(),
    ethicsSection(),
  ]
  return {
    title: proposalTitle(study),
    kicker: proposalLabels.kicker,
    summary: [proposalLabels.summary],
    generated: false,
    date: options.date,
    sections: [...text, referencesSection(context), provenanceSection(context)],
  }
}

function plainSection(id: string, title: string, contents: readonly Phrase[]): Section {
  return { id, title, blocks: contents.map((content) => paragraph(content)) }
}

function part(title: string, contents: readonly Phrase[]): readonly Block[] {
  return [{ kind: 'heading', text: title }, ...contents.map((content) => paragraph(content))]
}

function proposalTable(id: keyof typeof captions, parts: TableParts): Table {
  return captionedTable(id, captions[id], parts)
}

function synopsisSection({ study, cite }: ProposalContext): Section {
  return {
    id: 'answer',
    title: sections.synopsis,
    blocks: [
      proposalTable('synopsis', {
        columns: [textColumn(columns.part), textColumn(columns.answer)],
        rows: synopsisRows(study, cite).map(({ part: name, answer }) => [
          wordCell(name),
          phraseCell(answer, plainText(answer)),
        ]),
      }),
    ],
    aside: {
      title: proposalLabels.beforeSending,
      blocks: [{ kind: 'list', items: proposalCautions.map((caution) => [caution]) }],
    },
  }
}

function methodsSection({ study, cite, references }: ProposalContext): Section {
  const parts = methodParts(study, cite, references)
  return {
    id: 'methods',
    title: sections.methods,
    blocks: (['restorations', 'handling', 'outcome', 'followUp'] as const).flatMap((key) =>
      part(headings[key], parts[key]),
    ),
  }
}

function sizeSection({ study, cite, references }: ProposalContext): Section {
  return {
    id: 'size',
    title: sections.size,
    blocks: [
      ...sizeParagraphsOfPlan(study, cite, references).map((content) => paragraph(content)),
      ...(study.sizes.length === 0 ? [] : [sizesTable(study, cite)]),
    ],
  }
}

function sizesTable({ sizes }: PlannedStudy, cite: Citations): Table {
  return proposalTable('sizes', {
    columns: [
      numberColumn(columns.risk),
      numberColumn(columns.riskOfGroup),
      numberColumn(columns.independent),
      numberColumn(columns.perGroup),
      numberColumn(columns.together),
      numberColumn(columns.events),
    ],
    rows: sizes.map((_one, index) => [
      numberCell(cite, `sizes.${index}.assumedRisk`, 'percent'),
      numberCell(cite, `sizes.${index}.assumedRiskOfGroup`, 'percent'),
      numberCell(cite, `sizes.${index}.perGroupIndependent`, 'count'),
      numberCell(cite, `sizes.${index}.perGroup`, 'count'),
      numberCell(cite, `sizes.${index}.together`, 'count'),
      numberCell(cite, `sizes.${index}.events`, 'count'),
    ]),
  })
}

function analysisSection({ study, cite, references }: ProposalContext): Section {
  const parts = analysisParts(study, cite, references)
  return {
    id: 'analysis',
    title: sections.analysis,
    blocks: (['primary', 'secondary', 'missing'] as const).flatMap((key) => part(headings[key], parts[key])),
  }
}

function dataSection(fields: readonly ListedField[]): Section {
  return {
    id: 'data',
    title: sections.data,
    blocks: [
      ...part(headings.records, [dataParagraphs.records]),
      proposalTable('fields', {
        columns: [textColumn(columns.table), textColumn(columns.field), textColumn(columns.meaning)],
        rows: fields.map(({ table, field, meaning }) => [
          wordCell(table),
          wordCell(field),
          wordCell(meaning),
        ]),
      }),
      ...part(headings.checks, [dataParagraphs.checks]),
      ...part(headings.keeping, [dataParagraphs.keeping]),
    ],
  }
}

function protectionSection(): Section {
  return {
    id: 'protection',
    title: sections.deidentification,
    blocks: [
      ...part(headings.stays, [protectionParagraphs.stays]),
      ...part(headings.leaves, [protectionParagraphs.leaves]),
      proposalTable('shareable', {
        columns: [textColumn(columns.detail), textColumn(columns.shared)],
        rows: shareableRows.map(([detail, shared]) => [wordCell(detail), wordCell(shared)]),
      }),
    ],
  }
}

function ethicsSection(): Section {
  return {
    id: 'ethics',
    title: sections.ethics,
    blocks: [
      proposalTable('ethics', {
        columns: [textColumn(columns.question), textColumn(columns.answer)],
        rows: boardQuestions.map(({ question, drafted, author }) => {
          const answer =
            drafted === undefined ? phrase`${blank(author)}` : phrase`${drafted} ${blank(author)}`
          return [wordCell(question), phraseCell(answer, plainText(answer))]
        }),
      }),
    ],
  }
}

function provenanceSection({ study }: ProposalContext): Section {
  const { sha256: _hash, source: _source, ...fields } = study.plan
  return {
    id: 'provenance',
    title: sections.provenance,
    blocks: [
      paragraph(planSourceSentence(study)),
      proposalTable('plan', {
        columns: [textColumn(columns.planField), textColumn(columns.value)],
        rows: Object.entries(fields)
          .filter(([, value]) => value !== undefined)
          .map(([name, value]) => {
            const text = JSON.stringify(value)
            return [wordCell(name), phraseCell([foreign(text)], text)]
          }),
      }),
    ],
  }
}
