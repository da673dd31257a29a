import { fork } from 'node:child_process'
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { HoldfastError, UsageError } from '../core/errors.js'
import type { Report } from '../documents/bundle.js'
import { type WritingOptions, type WrittenReport, writeReportFolder } from '../documents/writeReport.js'
import { restDrawing } from './drawing.js'

/** What the process is asked for: a report, and where and how to write it. */
export interface ReportOrder {
  readonly report: Report
  readonly options: Omit<WritingOptions, 'drawer'>
}

/** What it answers. */
export type ReportAnswer =
  | { readonly written: WrittenReport }
  | { readonly refused: Record<'code' | 'problem' | 'expected' | 'mend', string> }
  | { readonly fault: string }

const processFile = fileURLToPath(new URL('./reportProcessMain.js', import.meta.url))

/**
 * Writes a report in a process of its own, so that the several hundred megabytes that its pictures take are not those
 * of the kernel. Where the process has not been built (tests run the sources), the report is written here.
 *
 * @throws UsageError where the folder holds something else than an earlier report
 */
export async function writeReportApart(
  report: Report,
  options: ReportOrder['options'],
): Promise<WrittenReport> {
  if (!existsSync(processFile)) return writeReportFolder(report, options)
  restDrawing()
  const answer = await answerOf({ report, options })
  if ('written' in answer) return Object.freeze(answer.written)
  if ('refused' in answer) throw new UsageError(answer.refused)
  throw new Error(answer.fault)
}

function answerOf(order: ReportOrder): Promise<ReportAnswer> {
  return new Promise((resolve, reject) => {
    const child = fork(processFile, [], {
      serialization: 'advanced',
      stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
    })
    child.once('message', (answer) => resolve(answer as ReportAnswer))
    child.once('error', reject)
    child.once('exit', (code, signal) => reject(new Error(`the report process ended (${signal ?? code})`)))
    child.send(order, (error) => {
      if (error !== null) reject(error)
    })
  })
}

/** An error as it travels from one process to another. */
export function answerOfError(thrown: unknown): ReportAnswer {
  if (thrown instanceof HoldfastError) {
    const { code, problem, expected, mend } = thrown
    return { refused: { code, problem, expected, mend } }
  }
  return { fault: thrown instanceof Error ? thrown.message : String(thrown) }
}
