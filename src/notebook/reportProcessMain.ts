import { writeReportFolder } from '../documents/writeReport.js'
import { answerOfError, type ReportAnswer, type ReportOrder } from './reportProcess.js'

/** Writes the one report that it is sent, answers, and ends; ends too where the kernel has gone. */
process.once('disconnect', () => process.exit(1))
process.once('message', (message) => {
  const { report, options } = message as ReportOrder
  void writeReportFolder(report, options)
    .then((written): ReportAnswer => ({ written }), answerOfError)
    .then((answer) => process.send!(answer, () => process.exit(0)))
})
