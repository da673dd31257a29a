import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { count, pathsOf } from '../../questions/words/place.js'
import { slideDeck } from '../kinds/slides/deck.js'
import type { Figure, ReportDocument } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import {
  comparedIn,
  type OutsideOptions,
  objectionsIn,
  questionIn,
  releasedTable,
  riskFigures,
  riskIn,
} from './outsideDocument.js'
import type { Released } from './released.js'

/** Six slides that may leave the practice, made from nothing but what is released. */
export function outsideSlides(released: Released, { date, language }: OutsideOptions): ReportDocument {
  const by = speaker(language)
  const { endpoint, generated, least, restorations, comparison } = released
  const parts = { released, at: pathsOf(released) }
  const about = message('outside.about', { least, part: released.chosenPart ? 'yes' : 'other' })
  const figures = wordedBlocks(riskFigures(parts), by, { generated, full: true }).filter(
    (block): block is Figure => block.kind === 'figure',
  )
  const size =
    restorations === undefined
      ? message('outside.too-few', { least })
      : message('outside.about-size', {
          restorations: count(parts.at.restorations),
          patients: count(parts.at.patients),
        })
  return slideDeck(
    {
      title: message('outside.title', { endpoint: message(`endpoint.title.${endpoint}`) }),
      about,
      question: questionIn(released),
      who: [size, about],
      often: riskIn(parts),
      beside: [],
      oftenFigures: figures,
      verdict: comparedIn(parts),
      comparisonFigures: [],
      ...(comparison?.groups === undefined ? {} : { comparisonTable: releasedTable(parts) }),
      overturn: objectionsIn(released),
      next: [message('summary.record')],
      notes: [message('slides.note')],
    },
    by,
    { generated, date },
  )
}
