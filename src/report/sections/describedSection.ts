import type {
  CategoryCharacteristic,
  NumberCharacteristic,
} from '../../analysis/description/characteristics.js'
import { upperFirst } from '../../charts/words.js'
import { numberCell, quantityCell, textColumn, wordCell } from '../cells.js'
import type { Citations } from '../citation.js'
import {
  type Cell,
  type Column,
  capitalised,
  foreign,
  paragraph,
  plainText,
  type Section,
  type Table,
} from '../document.js'
import type { FormatName } from '../numberFormats.js'
import {
  characteristicsNotes,
  characteristicsSentence,
  groupTitle,
  labelsOf,
  levelName,
  traitName,
  unitName,
} from '../wording.js'
import { type SectionContext, table } from './context.js'

/** What the restorations are like; empty where the results do not describe them. */
export function describedSection(context: SectionContext): Section {
  const frame = { id: 'described', title: labelsOf(context.cite.by).sections.described }
  if (context.audit.characteristics === undefined) return { ...frame, blocks: [] }
  return {
    ...frame,
    blocks: [paragraph(characteristicsSentence(context.audit, context.cite)), characteristicsTable(context)],
  }
}

/** Characteristics by group: all restorations, then the groups compared, then how far these lie apart. */
function characteristicsTable({ audit, cite }: SectionContext): Table {
  const { groups, compared, traits } = audit.characteristics!
  const shown = groups
    .map(({ group }, index) => ({ group, index }))
    .filter(
      ({ group, index }) =>
        index === 0 || (compared === undefined ? false : [compared.against, compared.group].includes(group)),
    )
  const left = compared === undefined ? 0 : groups.length - shown.length
  const indexes = shown.map(({ index }) => index)
  const { columns } = labelsOf(cite.by)
  return table(
    'characteristics',
    { cite },
    {
      columns: [
        textColumn(columns.trait),
        ...shown.map(({ group }) => groupColumn(groupTitle(group, audit, cite), cite)),
        ...(compared === undefined
          ? []
          : [
              {
                title: columns.standardisedDifference,
                align: 'end',
                csvTitles: [columns.standardisedDifference],
              } as const,
            ]),
      ],
      rows: [
        [
          wordCell(cite.text('described.restorations')),
          ...indexes.map((index) => sizeCell(cite, index)),
          ...(compared === undefined ? [] : [wordCell('–')]),
        ],
        ...traits.flatMap((trait, index) =>
          trait.kind === 'number'
            ? numberRows(cite, trait, index, indexes)
            : categoryRows(cite, trait, index, indexes),
        ),
      ],
      notes: characteristicsNotes(audit, cite, left),
    },
  )
}

function groupColumn(title: string, { by }: Citations): Column {
  const { countOrMedian, shareOrQuartiles } = labelsOf(by).columns
  return {
    title,
    align: 'end',
    csvTitles: [`${title}: ${countOrMedian}`, `${title}: ${shareOrQuartiles}`],
  }
}

/** Restorations of a group, with its patients under them. */
function sizeCell(cite: Citations, index: number): Cell {
  const at = `characteristics.groups.${index}`
  const restorations = numberCell(cite, `${at}.restorations`, 'count')
  return {
    content: restorations.content,
    under: cite.say('described.in-patients', { patients: cite.number(`${at}.patients`, 'count') }),
    csv: [...restorations.csv, { text: '' }],
  }
}

function numberRows(
  cite: Citations,
  trait: NumberCharacteristic,
  index: number,
  groups: readonly number[],
): readonly (readonly Cell[])[] {
  const at = `characteristics.traits.${index}`
  const values = [
    wordCell(
      upperFirst(cite.text('described.with-unit', { trait: traitName(trait), unit: unitName(trait.unit) })),
    ),
    ...groups.map((group) => quartilesCell(cite, `${at}.byGroup.${group}`)),
    ...differenceCell(cite, `${at}.standardisedDifference`, trait.standardisedDifference !== undefined),
  ]
  return [values, ...unknownRow(cite, trait, at, groups)]
}

function quartilesCell(cite: Citations, at: string): Cell {
  const format: FormatName = 'measure'
  const median = quantityCell(cite, `${at}.median`, format)
  const lower = cite.quantity(`${at}.lowerQuartile`, format)
  const upper = cite.quantity(`${at}.upperQuartile`, format)
  if (typeof lower === 'string' || typeof upper === 'string') {
    return { content: median.content, csv: [...median.csv, { text: '' }] }
  }
  const quartiles = cite.say('described.quartiles', { lower, upper })
  return {
    content: [...median.content, ' (', ...quartiles, ')'],
    csv: [...median.csv, { text: plainText(quartiles) }],
  }
}

function categoryRows(
  cite: Citations,
  trait: CategoryCharacteristic,
  index: number,
  groups: readonly number[],
): readonly (readonly Cell[])[] {
  const at = `characteristics.traits.${index}`
  const rows = trait.levels.map((level, one) => [
    nameCell(cite, trait, level),
    ...groups.map((group) => shareCell(cite, `${at}.byGroup.${group}`, one)),
    ...differenceCell(
      cite,
      `${at}.standardisedDifferences.${one}`,
      trait.standardisedDifferences !== undefined,
    ),
  ])
  return [...rows, ...unknownRow(cite, trait, at, groups)]
}

/** "Bruxism: none"; the level came with the data. */
function nameCell(cite: Citations, trait: CategoryCharacteristic, level: string): Cell {
  const name = cite.say('described.level', {
    trait: traitName(trait),
    level: foreign(levelName(trait, level, cite)),
  })
  const content = capitalised(name)
  return { content, csv: [{ text: plainText(content) }] }
}

function shareCell(cite: Citations, at: string, level: number): Cell {
  const count = numberCell(cite, `${at}.counts.${level}`, 'count')
  const share = quantityCell(cite, `${at}.shares.${level}`, 'percent')
  return {
    content: [...count.content, ' (', ...share.content, ')'],
    csv: [...count.csv, ...share.csv],
  }
}

/** How many are not known, where any is not. */
function unknownRow(
  cite: Citations,
  trait: CategoryCharacteristic | NumberCharacteristic,
  at: string,
  groups: readonly number[],
): readonly (readonly Cell[])[] {
  if (trait.byGroup[0]!.unknown === 0) return []
  const compared =
    trait.kind === 'number'
      ? trait.standardisedDifference !== undefined
      : trait.standardisedDifferences !== undefined
  return [
    [
      wordCell(
        upperFirst(
          cite.text('described.level', { trait: traitName(trait), level: labelsOf(cite.by).notKnown }),
        ),
      ),
      ...groups.map((group): Cell => {
        const count = numberCell(cite, `${at}.byGroup.${group}.unknown`, 'count')
        return { content: count.content, csv: [...count.csv, { text: '' }] }
      }),
      ...(compared ? [wordCell('–')] : []),
    ],
  ]
}

function differenceCell(cite: Citations, path: string, compared: boolean): readonly Cell[] {
  return compared ? [quantityCell(cite, path, 'correlation')] : []
}
