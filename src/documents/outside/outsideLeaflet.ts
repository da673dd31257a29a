import { patientArray } from '../../charts/patientArray.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { type Message, message, type Words } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { type Block, figure, sentences } from '../../questions/words/blocks.js'
import { count, number, type Place, pathsOf } from '../../questions/words/place.js'
import { type LeafletOptions, leafletOf } from '../kinds/leafletDocument.js'
import {
  adviceForPatient,
  isBound,
  leafletTitle,
  limitsForPatient,
  patientEvent,
  thingsOf,
} from '../kinds/leafletWords.js'
import type { ReportDocument } from '../model/document.js'
import type { OutsideOptions, Parts } from './outsideDocument.js'
import type { Released } from './released.js'

/** The leaflet that may be handed on beyond the practice, made from nothing but what is released. */
export function outsideLeaflet(
  released: Released,
  { date, language, comparison = false }: OutsideOptions & Pick<LeafletOptions, 'comparison'>,
): ReportDocument {
  const { generated, someNeverChecked } = released
  const parts = { released, at: pathsOf(released) }
  return leafletOf(
    {
      title: leafletTitle(released),
      summary: aboutIn(parts),
      risk: riskIn(parts),
      array: arrayIn(parts, language),
      advice: adviceForPatient(released),
      ...(comparison && released.comparison !== undefined ? { compared: comparedIn(parts) } : {}),
      limits: limitsForPatient({ generated, neverChecked: someNeverChecked }),
    },
    { generated, date, ...(language === undefined ? {} : { language }) },
  )
}

function aboutIn({ released, at }: Parts): Words {
  const { restorations, least } = released
  if (restorations === undefined) return message('outside.too-few', { least })
  return message('leaflet.summary', {
    restorations: count(at.restorations),
    patients: count(at.patients),
    things: thingsOf(released),
    part: released.chosenPart ? 'yes' : 'other',
  })
}

function riskIn({ released, at }: Parts): Words {
  if (released.risk === undefined) return message('outside.risk-for-patient-withheld')
  const share = at.risk.estimate as Place<Quantity>
  return sentences(
    message('leaflet.risk', {
      event: patientEvent(released),
      things: thingsOf(released),
      bound: isBound(share),
      share: number(share, 'in-hundred'),
      years: yearsAt(at.years),
    }),
    message('leaflet.risk-from-to', {
      lower: number(at.risk.lower, 'in-hundred'),
      upper: number(at.risk.upper, 'in-hundred'),
    }),
  )
}

function arrayIn({ released }: Parts, language: string | undefined): readonly Block[] {
  const { risk, years } = released
  if (risk === undefined || years === undefined || !isNumber(risk.estimate)) return []
  const endpoint = speaker(language).text(patientEvent(released))
  return [
    figure('patient-array', message('leaflet.array', { things: thingsOf(released) }), (options) =>
      patientArray(risk.estimate, risk.upper, { ...options, endpoint, years, things: thingsOf(released) }),
    ),
  ]
}

function comparedIn({ released, at }: Parts): Words {
  const { verdict, groups, difference } = released.comparison!
  const { from, to } = at.definition.waitWindowMinutes
  const ways = message('leaflet.ways', { from: number(from, 'whole'), to: number(to, 'whole') })
  return sentences(ways, verdictFor())

  function verdictFor(): Message {
    if (verdict === 'cannot-be-compared') return message('leaflet.compared-cannot-be-compared')
    if (groups === undefined || difference === undefined || (verdict !== 'lower' && verdict !== 'higher')) {
      return message('leaflet.compared-open')
    }
    const [against, group] = [0, 1].map(
      (index) => at.comparison.groups[index]!.risk.estimate as Place<Quantity>,
    ) as [Place<Quantity>, Place<Quantity>]
    return message('leaflet.compared-shares', {
      event: patientEvent(released),
      years: yearsAt(at.comparison.years),
      groupBound: isBound(group),
      group: number(group, 'in-hundred'),
      againstBound: isBound(against),
      against: number(against, 'in-hundred'),
    })
  }
}
