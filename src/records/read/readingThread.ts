import { parentPort } from 'node:worker_threads'
import { isKnownHeader } from '../understand/headerSynonyms.js'
import { importCsv } from './importCsv.js'
import { KeptProblems, type ReadingOrder, type ReadingReport } from './readingBeside.js'

const tell = (report: ReadingReport, handedOver: readonly ArrayBuffer[] = []): void =>
  parentPort!.postMessage(report, [...handedOver])

// What stands in the way is thrown, which ends the thread: who asked then reads the file, and hears the reason.
parentPort!.on('message', async ({ path, name, inspection, header, knowsHeaders }: ReadingOrder) => {
  const problems = new KeptProblems()
  const settings = knowsHeaders ? { ...header, isHeader: isKnownHeader } : header
  const text = await importCsv(path, name, inspection, problems, settings, (bytes) => tell({ bytes }))
  const columns = [text.sourceRow, ...text.columns.map(({ codes }) => codes)]
  tell(
    { text, problems: problems.found() },
    columns.map(({ buffer }) => buffer as ArrayBuffer),
  )
})
