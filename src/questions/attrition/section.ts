import { attritionDiagram } from '../../charts/attritionDiagram.js'
import { listOf, type Message, message } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { placesIn, type SectionSetting } from '../question.js'
import {
  type Block,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, type Path } from '../words/place.js'
import type { AttritionResult } from './answer.js'

/** Who the answers are about, with every row of the source accounted for. */
export function attritionBlocks(
  result: AttritionResult,
  at: Path<AttritionResult>,
  setting: Pick<SectionSetting, 'definition'>,
): readonly Block[] {
  const remarks = attritionRemarks(result, at, setting)
  return [
    paragraph(whoSentence(result, at)),
    figure('attrition', message('caption.figure.attrition'), (options) =>
      attritionDiagram(result, { ...options, window: setting.definition.waitWindowMinutes }),
    ),
    attritionTable(result, at),
    ...(remarks.length === 0 ? [] : [{ kind: 'list' as const, items: remarks }]),
  ]
}

/** Who is in the cohort, where from and when. */
export function whoSentence({ clinics }: AttritionResult, at: Path<AttritionResult>): Message {
  return message('cohort.who', {
    read: count(at.attrition.rowsRead),
    included: count(at.attrition.included),
    patients: count(at.patients),
    clinics:
      clinics.length === 0
        ? message('cohort.unnamed-practice')
        : message('cohort.clinics', {
            clinics: count(at.clinics.length),
            names: listOf(
              clinics.map((clinic) => foreign(clinic)),
              'comma',
            ),
          }),
    operators: count(at.operators),
  })
}

/** Remarks that bear on how results may be read; each only where there is something to say. */
export function attritionRemarks(
  result: AttritionResult,
  at: Path<AttritionResult>,
  { definition }: Pick<SectionSetting, 'definition'>,
): readonly Message[] {
  const { endpoint } = definition
  const remark = (told: number, words: () => Message): readonly Message[] => (told > 0 ? [words()] : [])
  return [
    ...remark(result.neverChecked, () =>
      message('cohort.never-checked', { restorations: count(at.neverChecked) }),
    ),
    ...remark(result.exposureDisagreements, () =>
      message('cohort.chart-disagrees', { restorations: count(at.exposureDisagreements) }),
    ),
    ...remark(result.exposureFromReportOnly, () =>
      message('cohort.chart-only', { restorations: count(at.exposureFromReportOnly) }),
    ),
    ...remark(result.competingBeyondRecall, () =>
      message('cohort.beyond-recall', {
        events: count(at.competingBeyondRecall),
        days: count(placesIn({ definition }).definition.recallIntervalDays),
      }),
    ),
    ...remark(result.eventsOnDayZero, () =>
      message('cohort.day-zero', {
        events: count(at.eventsOnDayZero),
        name: message(`endpoint.name.${endpoint}`),
        many: message(`endpoint.many.${endpoint}`),
      }),
    ),
    ...result.source.cannotAnswer.map((gap) =>
      message('cohort.cannot-answer', { gap: message(`cohort.gap.${gap}`) }),
    ),
  ]
}

/** Who was left out at each step, and how many remained. */
export function attritionTable({ attrition }: AttritionResult, at: Path<AttritionResult>): Table {
  return table('attrition', message('caption.table.attrition'), {
    columns: [
      textColumn(message('label.column.step')),
      numberColumn(message('label.column.leftOut')),
      numberColumn(message('label.column.remaining')),
    ],
    rows: attrition.steps.map(({ code }, index) => {
      const step = at.attrition.steps[index]!
      return [wordCell(message(`left-out.${code}`)), numberCell(step.leftOut), numberCell(step.remaining)]
    }),
  })
}
