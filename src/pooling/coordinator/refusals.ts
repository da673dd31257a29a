import { type ListFault, listError } from '../protocol/messages.js'
import { fewestSites } from '../protocol/protocol.js'
import { StudyGroupError } from '../protocol/studyGroupError.js'

/** The refusals of the coordinator's side. */
export const listRefusals = Object.freeze({
  tooFew: (sites: number) =>
    new StudyGroupError(
      'too-few-sites',
      `${sites === 1 ? 'one practice is' : `${sites} practices are`} left for the list.`,
      `at least ${fewestSites} practices; with two, each would see the numbers of the other.`,
      'wait until more practices are ready.',
    ),
  doesNotHold: (fault: ListFault) =>
    listError(fault, {
      code: 'list-does-not-hold',
      problem: 'no list can be made of these ready notes',
      expected:
        'ready notes of different practices, with names that differ, of which none or at least three are closed.',
      mend: 'settle it with the practices that it concerns, and make the list again.',
    }),
  noVoid: () =>
    new StudyGroupError(
      'no-void',
      'no practice of the list has signed a void of it.',
      'a void of each practice that the list is to do without.',
      'let the practice that cannot answer run holdfast void; if it cannot be reached, these days wait for the next release.',
    ),
  twoAnswers: (name: string) =>
    new StudyGroupError(
      'two-answers',
      `there are two different answers of ${name} to the same list.`,
      'one answer of each practice; sent again, it has the same bytes.',
      'ask the practice which file it made, and take the other out.',
    ),
  foreignAnswer: (name: string) =>
    new StudyGroupError(
      'foreign-answer',
      `${name} has answered a list in which it does not stand.`,
      'answers of the practices of the list.',
      'take the file out.',
    ),
  otherLength: (name: string) =>
    new StudyGroupError(
      'other-length',
      `the answer of ${name} has another number of numbers than the list asks for.`,
      'an answer of the same version of the toolkit.',
      'ask the practice to answer with the version that the list was made with.',
    ),
  doNotAddUp: () =>
    new StudyGroupError(
      'totals-do-not-add-up',
      'the masks do not cancel, so that one of the answers was made for something else, or is not what it says.',
      'answers of all practices to the same list.',
      'compare the code of the list with every practice, and ask them to send their answers again.',
    ),
})
