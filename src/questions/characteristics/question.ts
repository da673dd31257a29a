import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type Characteristics, characteristics } from './answer.js'
import { characteristicsBlocks } from './section.js'

/** What are these restorations like? */
export const characteristicsQuestion = question<'characteristics', Characteristics>({
  kind: 'characteristics',
  title: message('label.section.described'),
  answer: characteristics,
  section: characteristicsBlocks,
})
