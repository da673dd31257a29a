import { message } from '../../messages/message.js'
import { heldQuestion } from '../question.js'
import { type HowOften, howOften } from './answer.js'
import { howOftenBlocks } from './section.js'

/** How often, and what could move that? */
export const howOftenQuestion = heldQuestion<'how-often', HowOften>({
  kind: 'how-often',
  title: message('report.how-often'),
  held: { place: 'howOften', of: ({ howOften: held }) => held },
  answer: howOften,
  section: howOftenBlocks,
})
