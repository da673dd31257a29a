import type { TwoReports } from '../analysis/twoReports.js'
import { printable, upperFirst, yearsInWords } from '../charts/words.js'
import { captionedTable, type TableParts } from './captioned.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  phraseCell,
  quantityCell,
  textColumn,
  wordCell,
} from './cells.js'
import { type Citations, citationsOf } from './citation.js'
import { type Cell, foreign, paragraph, type ReportDocument, type Section, type Table } from './document.js'
import {
  changeCautions,
  changeLabels,
  changeSummary,
  changeTitle,
  clinicsSentence,
  countWords,
  readingChangeSentence,
  recordsChangeSentence,
  riskChangeSentence,
} from './wording.js'

/** What a comparison of two reports needs to know besides the results. */
export interface ChangeOptions {
  readonly date: string
  readonly version: string
  /** Versions that wrote the earlier and the later results. */
  readonly versions: { readonly before: string; readonly after: string }
}

interface ChangeContext {
  readonly two: TwoReports
  readonly cite: Citations
}

/** Two reports of one practice as a document: what changed in the results, and what in the records. */
export function changeDocument(two: TwoReports, options: ChangeOptions): ReportDocument {
  const cite = citationsOf(two)
  const context = { two, cite }
  return {
    title: changeTitle(two),
    kicker: changeLabels.kicker,
    summary: changeSummary(cite),
    generated: two.generated,
    date: options.date,
    sections: [
      answerSection(context),
      resultsSection(context),
      recordsSection(context),
      provenanceSection(context, options),
    ],
  }
}

function answerSection({ two, cite }: ChangeContext): Section {
  const clinics = clinicsSentence(two)
  return {
    id: 'answer',
    title: changeLabels.sections.answer,
    blocks: [
      ...(clinics.length === 0 ? [] : [paragraph(clinics, 'lead')]),
      paragraph(riskChangeSentence(two, cite), 'lead'),
      paragraph(recordsChangeSentence(two, cite)),
      paragraph(readingChangeSentence(two)),
    ],
    aside: {
      title: changeLabels.readWithCare,
      blocks: [{ kind: 'list', items: changeCautions.map((caution) => [caution]) }],
    },
  }
}

function resultsSection(context: ChangeContext): Section {
  return {
    id: 'results',
    title: changeLabels.sections.results,
    blocks: [risksTable(context), ratesTable(context), leadTable(context)],
  }
}

function recordsSection(context: ChangeContext): Section {
  const { two } = context
  return {
    id: 'records',
    title: changeLabels.sections.records,
    blocks: [
      countsTable(context),
      ...(two.problems.length === 0 ? [] : [problemsTable(context)]),
      ...(two.fields.length === 0 ? [] : [fieldsTable(context)]),
    ],
  }
}

type CaptionKey = keyof typeof changeLabels.captions

function changeTable(id: CaptionKey, parts: TableParts): Table {
  return captionedTable(id, changeLabels.captions[id], parts)
}

function risksTable({ two, cite }: ChangeContext): Table {
  const { columns } = changeLabels
  return changeTable('risk-changes', {
    columns: [
      textColumn(columns.years),
      estimateColumn(columns.before, 'percent'),
      estimateColumn(columns.after, 'percent'),
      numberColumn(columns.points),
    ],
    rows: two.risks.map(({ years, index, indexBefore }, row) => [
      wordCell(yearsInWords(years)),
      estimateCell(cite, `before.incidence.horizons.${indexBefore}.risk`, 'percent'),
      estimateCell(cite, `after.incidence.horizons.${index}.risk`, 'percent'),
      quantityCell(cite, `risks.${row}.change`, 'points'),
    ]),
  })
}

function ratesTable({ cite }: ChangeContext): Table {
  const { columns, share, rate, followUp } = changeLabels
  const row = (name: string, path: string, format: 'percent' | 'rate' | 'years'): readonly Cell[] => [
    wordCell(name),
    estimateCell(cite, `before.incidence.${path}`, format),
    estimateCell(cite, `after.incidence.${path}`, format),
  ]
  return changeTable('rate-changes', {
    columns: [
      textColumn(columns.quantity),
      { ...estimateColumn(columns.before, 'rate'), csvTitles: thenNowTitles(columns.before) },
      { ...estimateColumn(columns.after, 'rate'), csvTitles: thenNowTitles(columns.after) },
    ],
    rows: [
      row(share, 'proportion', 'percent'),
      row(rate, 'ratePer100Years', 'rate'),
      row(followUp, 'medianFollowUpYears', 'years'),
    ],
  })
}

function thenNowTitles(title: string): readonly string[] {
  return [title, `${title}, lower limit`, `${title}, upper limit`]
}

function leadTable({ two, cite }: ChangeContext): Table {
  const { columns } = changeLabels
  return changeTable('lead-changes', {
    columns: [
      textColumn(columns.report),
      textColumn(columns.what),
      { ...estimateColumn(columns.quantity, 'points'), csvTitles: thenNowTitles(columns.quantity) },
      numberColumn(columns.restorations),
      numberColumn(columns.events),
    ],
    rows: (['before', 'after'] as const).map((side) => leadRow(two, cite, side)),
  })
}

function leadRow(two: TwoReports, cite: Citations, side: 'before' | 'after'): readonly Cell[] {
  const { comparison } = two[side]
  const name = wordCell(side === 'before' ? changeLabels.before : changeLabels.after)
  const none = wordCell('–')
  const empty: Cell = { content: ['–'], csv: [{ text: '–' }, { text: '–' }, { text: '–' }] }
  if (comparison === undefined) {
    return [name, wordCell(changeLabels.nothing), empty, none, none]
  }
  const at = `${side}.comparison`
  return [
    name,
    wordCell(changeLabels.verdicts[comparison.verdict] ?? comparison.verdict),
    comparison.difference === undefined ? empty : estimateCell(cite, `${at}.difference`, 'points'),
    numberCell(cite, `${at}.restorations`, 'count'),
    numberCell(cite, `${at}.events`, 'count'),
  ]
}

function countsTable({ two, cite }: ChangeContext): Table {
  const { columns } = changeLabels
  return changeTable('count-changes', {
    columns: [
      textColumn(columns.quantity),
      numberColumn(columns.before),
      numberColumn(columns.after),
      numberColumn(columns.change),
    ],
    rows: two.counts.map(({ key }, index) => [
      wordCell(countWords[key]),
      numberCell(cite, `counts.${index}.before`, 'count'),
      numberCell(cite, `counts.${index}.after`, 'count'),
      numberCell(cite, `counts.${index}.change`, 'change'),
    ]),
  })
}

function problemsTable({ two, cite }: ChangeContext): Table {
  const { columns } = changeLabels
  return changeTable('problem-changes', {
    columns: [textColumn(columns.problem), numberColumn(columns.before), numberColumn(columns.after)],
    rows: two.problems.map(({ problem }, index) => [
      foreignCell(upperFirst(problem)),
      numberCell(cite, `problems.${index}.before`, 'count'),
      numberCell(cite, `problems.${index}.after`, 'count'),
    ]),
  })
}

function fieldsTable({ two, cite }: ChangeContext): Table {
  const { columns } = changeLabels
  return changeTable('field-changes', {
    columns: [
      textColumn(columns.field),
      numberColumn(columns.before),
      numberColumn(columns.after),
      numberColumn(columns.points),
    ],
    rows: two.fields.map(({ table, field }, index) => [
      phraseCell([`${table}: `, foreign(printable(field))], `${table}: ${printable(field)}`),
      quantityCell(cite, `fields.${index}.before`, 'percent'),
      quantityCell(cite, `fields.${index}.after`, 'percent'),
      quantityCell(cite, `fields.${index}.change`, 'points'),
    ]),
  })
}

function provenanceSection({ two }: ChangeContext, { versions }: ChangeOptions): Section {
  const { columns } = changeLabels
  return {
    id: 'provenance',
    title: changeLabels.sections.provenance,
    blocks: [
      changeTable('sources', {
        columns: [
          textColumn(columns.report),
          textColumn(columns.title),
          textColumn(columns.version),
          textColumn(columns.checksum),
        ],
        rows: (['before', 'after'] as const).map((side) => [
          wordCell(side === 'before' ? changeLabels.before : changeLabels.after),
          foreignCell(two[side].title),
          foreignCell(versions[side]),
          foreignCell(two[side].sha256),
        ]),
      }),
    ],
  }
}
