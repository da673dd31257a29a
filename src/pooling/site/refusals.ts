import { UsageError } from '../../core/errors.js'
import { type ListFault, listError } from '../protocol/messages.js'
import { fewestSites } from '../protocol/protocol.js'
import { StudyGroupError } from '../protocol/studyGroupError.js'

/** The refusals of a practice: each is a way to learn a practice's own numbers. */
export const refusals = Object.freeze({
  belowFloor: (threshold: number, floor: number) =>
    new StudyGroupError(
      'below-own-floor',
      `the protocol prints numbers behind which ${threshold} patients stand, and this practice asks for ${floor}.`,
      'a protocol whose threshold is not below the floor of the practice.',
      'ask the coordinator for a higher threshold; the floor is set once, when the practice takes part the first time.',
    ),
  reachesBack: (cutoff: string) =>
    new StudyGroupError(
      'reaches-back',
      `the release covers days up to ${cutoff} or before, which this practice has shared already, or lost the ledger of.`,
      `a release that begins at ${cutoff} or later and ends after it; every day of a restoration is shared once, whatever the endpoint, grid or covariates.`,
      'ask the coordinator for the protocol of the next release.',
    ),
  notOverYet: (cutoff: string) =>
    new StudyGroupError(
      'cutoff-not-over',
      `the cut-off day ${cutoff} is not over yet.`,
      'a release whose days have passed, so that what happened on them is on record.',
      'wait until after the cut-off day.',
    ),
  alreadyAnswered: () =>
    new StudyGroupError(
      'already-answered',
      'the numbers of this release were sent before, and cannot be made anew.',
      'one answer for the same days.',
      'leave --anew out: what was corrected since counts in the next release.',
    ),
  nothingToShare: () =>
    new StudyGroupError(
      'nothing-to-share',
      'no restoration of the two groups has a day in this release that was not shared before.',
      'restorations in at least one of the groups that the protocol names.',
      'check the tightening events of the delivery day, or leave this release out.',
    ),
  olderLedger: () =>
    new StudyGroupError(
      'older-ledger',
      'an answer of this practice lies in the folder for what is sent, and the place of the practice does not know it: it is an older copy, or the answer was changed.',
      'the place of the practice as it stood after its last answer.',
      'bring back the newest copy; if it is lost, wait for the next release, and begin it with --restart-after.',
    ),
  notInList: () =>
    new UsageError({
      code: 'not-in-list',
      problem: 'no practice of this place stands in the list.',
      expected: 'a list that holds the ready note of this practice.',
      mend: 'check --practice, or ask the coordinator whether the ready note arrived.',
    }),
  otherReady: () =>
    new StudyGroupError(
      'other-ready-note',
      'the list holds a ready note under this identity that this practice did not make, or that it has replaced.',
      'the ready note as it was sent last.',
      'send the ready note again, and ask the coordinator for a new list.',
    ),
  badList: (fault: ListFault) =>
    listError(fault, {
      code: 'bad-list',
      problem: 'the list cannot be answered',
      expected: `a list of at least ${fewestSites} practices, each once, for one protocol and one cut-off day.`,
      mend: 'ask the coordinator for a list that holds.',
    }),
  ledgerMovedOn: () =>
    new StudyGroupError(
      'ledger-moved-on',
      'another release was answered after the numbers for this list were fixed, so that days would be shared twice.',
      'a list for numbers that begin where the last answer ended.',
      'run holdfast share with the protocol again, and send the new ready note.',
    ),
  afterVoid: () =>
    new StudyGroupError(
      'answer-after-void',
      'this practice has signed that it will not answer this list.',
      'a list that was not voided.',
      'wait for the next list.',
    ),
  voidAfterAnswer: () =>
    new StudyGroupError(
      'void-after-answer',
      'this practice has answered the list, so that its numbers are in the sum, or will be.',
      'a list that was not answered.',
      'leave it; the answer cannot be taken back.',
    ),
  secondList: () =>
    new StudyGroupError(
      'second-list',
      'this practice has answered another list for the same days. From two sums over other practices, the numbers of one could be had by subtraction.',
      'the list that was answered; or a shorter one, in which every practice that is gone has signed a void of the list that was answered, and none was added.',
      'let the practices that are gone run holdfast void, or wait for the next release.',
    ),
  notAnswered: () =>
    new StudyGroupError(
      'list-not-answered',
      'this practice has not answered the list to which the file belongs.',
      'a file that goes with a list that was answered.',
      'answer the list first, or ask the coordinator which list it is for.',
    ),
  otherCoordinator: () =>
    new StudyGroupError(
      'other-coordinator',
      'the file is signed by another key than the list.',
      'files of one coordinator.',
      'ask the coordinator for the file again.',
    ),
  wrongTotals: (what: string) =>
    new StudyGroupError(
      'wrong-totals',
      `the totals cannot be right: ${what}.`,
      'sums of the numbers of all practices of the list, this one among them.',
      'ask the coordinator to add up again, and tell the other practices.',
    ),
  chosenCoefficients: () =>
    new StudyGroupError(
      'chosen-coefficients',
      'the coefficients are not the step that the totals of the round before give; with chosen ones, numbers could be worked out.',
      "Newton's step from the totals of the round before.",
      'ask the coordinator to make the request again with this version.',
    ),
  secondRequest: () =>
    new StudyGroupError(
      'second-request',
      'this practice has answered another request for the same round, or not yet the round before.',
      'one request for each round, in order.',
      'leave it; the model stops at the last round that all have answered.',
    ),
})
