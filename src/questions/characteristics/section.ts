import { isNumber, type Quantity } from '../../core/estimate.js'
import { type Message, message, opening, type Words } from '../../messages/message.js'
import { fieldName, levelName } from '../../messages/names.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  type Cell,
  type Column,
  numberCell,
  paragraph,
  quantityCell,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupInSentence, groupTitle } from '../words/groups.js'
import { count, type Path, type Place, quantity } from '../words/place.js'
import type {
  CategoryCharacteristic,
  Characteristics,
  NumberCharacteristic,
  NumberOfGroup,
} from './answer.js'

/** What the restorations are like: a sentence, and all of it by group. */
export function characteristicsBlocks(
  result: Characteristics,
  at: Path<Characteristics>,
  setting: SectionSetting,
): readonly Block[] {
  return [paragraph(characteristicsSentence(result, at)), characteristicsTable(result, at, setting)]
}

/** Opens the description. */
export function characteristicsSentence(
  { traits, compared }: Characteristics,
  at: Path<Characteristics>,
): Message {
  const differences = traits.flatMap((trait): readonly (Quantity | undefined)[] =>
    trait.kind === 'number' ? [trait.standardisedDifference] : (trait.standardisedDifferences ?? []),
  )
  const apart = differences.filter((one) => typeof one === 'number' && Math.abs(one) >= 0.1).length
  return message('described.opening', {
    restorations: count(at.groups[0]!.restorations),
    patients: count(at.groups[0]!.patients),
    apart: compared === undefined ? 'other' : apart === 0 ? 'none' : 'some',
  })
}

/** Characteristics by group: all restorations, then the groups compared, then how far these lie apart. */
function characteristicsTable(
  { groups, compared, traits }: Characteristics,
  at: Path<Characteristics>,
  { definition }: SectionSetting,
): Table {
  const shown = groups
    .map(({ group }, index) => ({ group, index }))
    .filter(
      ({ group, index }) =>
        index === 0 || (compared !== undefined && [compared.against, compared.group].includes(group)),
    )
  const left = compared === undefined ? 0 : groups.length - shown.length
  const indexes = shown.map(({ index }) => index)
  const standardised = message('label.column.standardisedDifference')
  return table('characteristics', message('caption.table.characteristics'), {
    columns: [
      textColumn(message('label.column.trait')),
      ...shown.map(({ group }) => groupColumn(groupTitle(group, definition) as Message)),
      ...(compared === undefined
        ? []
        : [{ title: standardised, align: 'end', csvTitles: [standardised] } as const]),
    ],
    rows: [
      [
        wordCell(message('described.restorations')),
        ...indexes.map((index) => sizeCell(at.groups[index]!)),
        ...(compared === undefined ? [] : [wordCell('–')]),
      ],
      ...traits.flatMap((trait, index) =>
        trait.kind === 'number'
          ? numberRows(trait, at.traits[index] as Path<NumberCharacteristic>, indexes)
          : categoryRows(trait, at.traits[index] as Path<CategoryCharacteristic>, indexes),
      ),
    ],
    notes: [
      message('described.unit'),
      ...(compared === undefined
        ? []
        : [
            message('described.difference', {
              group: groupInSentence(compared.group, definition),
              against: groupInSentence(compared.against, definition),
            }),
          ]),
      ...(left === 0 ? [] : [message('described.others-in-all')]),
    ],
  })
}

function groupColumn(title: Message): Column {
  const under = (column: 'countOrMedian' | 'shareOrQuartiles') =>
    message('described.level', { trait: title, level: message(`label.column.${column}`) })
  return { title, align: 'end', csvTitles: [under('countOrMedian'), under('shareOrQuartiles')] }
}

/** Restorations of a group, with its patients under them. */
function sizeCell(place: Path<Characteristics['groups'][number]>): Cell {
  const restorations = numberCell(place.restorations)
  return {
    content: restorations.content,
    under: message('described.in-patients', { patients: count(place.patients) }),
    csv: [...restorations.csv, { text: '' }],
  }
}

function numberRows(
  trait: NumberCharacteristic,
  at: Path<NumberCharacteristic>,
  groups: readonly number[],
): readonly (readonly Cell[])[] {
  const { field, unit, standardisedDifference } = trait
  const named = unit === 'years' ? message('unit.years') : unit
  return [
    [
      wordCell(opening(message('described.with-unit', { trait: fieldName(field), unit: named }))),
      ...groups.map((group) => quartilesCell(trait.byGroup[group]!, at.byGroup[group]!)),
      ...(standardisedDifference === undefined
        ? []
        : [quantityCell(at.standardisedDifference as Place<Quantity>, 'correlation')]),
    ],
    ...unknownRow(trait, at, groups, standardisedDifference !== undefined),
  ]
}

function quartilesCell(of: NumberOfGroup, place: Path<NumberOfGroup>): Cell {
  const median = quantityCell(place.median as Place<Quantity>, 'measure')
  if (!isNumber(of.lowerQuartile) || !isNumber(of.upperQuartile)) {
    return { content: median.content, csv: [...median.csv, { text: '' }] }
  }
  const quartiles = message('described.quartiles', {
    lower: quantity(place.lowerQuartile as Place<Quantity>, 'measure'),
    upper: quantity(place.upperQuartile as Place<Quantity>, 'measure'),
  })
  return {
    content: inBrackets(median.content, quartiles),
    csv: [...median.csv, { text: quartiles }],
  }
}

function categoryRows(
  trait: CategoryCharacteristic,
  at: Path<CategoryCharacteristic>,
  groups: readonly number[],
): readonly (readonly Cell[])[] {
  const { field, levels, standardisedDifferences } = trait
  const rows = levels.map((level, one) => [
    wordCell(
      opening(message('described.level', { trait: fieldName(field), level: levelName(field, level) })),
    ),
    ...groups.map((group) => {
      const place = at.byGroup[group]!
      const counted = numberCell(place.counts[one]!)
      const share = quantityCell(place.shares[one] as Place<Quantity>, 'percent')
      return { content: inBrackets(counted.content, share.content), csv: [...counted.csv, ...share.csv] }
    }),
    ...(standardisedDifferences === undefined
      ? []
      : [quantityCell(at.standardisedDifferences[one] as Place<Quantity>, 'correlation')]),
  ])
  return [...rows, ...unknownRow(trait, at, groups, standardisedDifferences !== undefined)]
}

function inBrackets(first: Words, second: Words): Words {
  return [...[first].flat(), ' (', ...[second].flat(), ')'] as Words
}

/** How many are not known, where any is not. */
function unknownRow(
  { field, byGroup }: CategoryCharacteristic | NumberCharacteristic,
  at: Path<CategoryCharacteristic> | Path<NumberCharacteristic>,
  groups: readonly number[],
  compared: boolean,
): readonly (readonly Cell[])[] {
  if (byGroup[0]!.unknown === 0) return []
  const name = message('described.level', { trait: fieldName(field), level: message('label.notKnown') })
  return [
    [
      wordCell(opening(name)),
      ...groups.map((group): Cell => {
        const unknown = numberCell(at.byGroup[group]!.unknown)
        return { content: unknown.content, csv: [...unknown.csv, { text: '' }] }
      }),
      ...(compared ? [wordCell('–')] : []),
    ],
  ]
}
