import type { PictureDrawer } from '../charts/pictureDrawer.js'
import type { PaperName, ReportFormat } from '../documents/formats/formats.js'
import { usualFormats } from '../documents/formats/formats.js'
import type { AuditKind } from '../documents/kinds/auditKindNames.js'
import { version } from '../notebook/version.js'
import { type AnswersThread, openAnswersThread } from './answersAhead.js'
import { correctionsOf } from './corrections.js'
import { engineFlagsForMany, giveFlags } from './engineFlags.js'
import { planOf } from './plan.js'
import { throughDoor } from './throughDoor.js'

/** One data set to audit, and how; plain data, so that a thread can be told. */
export interface AuditOrder {
  readonly dataset: string
  readonly outDir: string
  /** Date of making, as a day number and as it is printed. */
  readonly made: { readonly iso: string; readonly day: number }
  readonly formats?: readonly ReportFormat[]
  /** Language of the document; default `en`. */
  readonly language?: string
  /** Paper of the pages of Word and PDF; default A4. */
  readonly paper?: PaperName
  /** Kind of document; default the audit report. */
  readonly kind?: AuditKind
  readonly corrections?: string
  /** Problems set aside by name. */
  readonly setAside?: readonly string[]
  /** File of the plan; the default plan where there is none. */
  readonly plan?: string
  /** Whether the variants that take long are computed too; default no. */
  readonly full?: boolean
  /** Whether only the edition is written that may leave the practice; default no. */
  readonly outside?: boolean
  /** Whether a leaflet sets the two ways of tightening beside each other; default no. */
  readonly comparison?: boolean
}

/** What an audit says on the terminal. */
export interface AuditedDataset {
  readonly lines: readonly string[]
  /** The page, or answer.json where nothing but what machines read was asked for. */
  readonly path: string
  readonly made: 'Report' | 'Answer'
}

/** Told what an audit is doing, and the share of it that is done, from 0 to 1. */
export type AuditProgress = (stage: 'reading' | 'computing' | 'writing', share: number) => void

/**
 * Reads a data set, audits it and writes the report.
 *
 * @param drawer what draws the pictures; by default one is opened when the first is wanted
 */
export async function auditDataset(
  order: AuditOrder,
  drawer: PictureDrawer | undefined,
  onProgress: AuditProgress = () => undefined,
): Promise<AuditedDataset> {
  const answersThread = openAnswersThread()
  try {
    return await audited(order, drawer, onProgress, answersThread)
  } finally {
    answersThread?.close()
  }
}

/** Restorations from which memory is what an audit is short of. */
const many = 20_000

async function audited(
  order: AuditOrder,
  drawer: PictureDrawer | undefined,
  onProgress: AuditProgress,
  answersThread: AnswersThread | undefined,
): Promise<AuditedDataset> {
  const [
    { readRecords },
    { sharedRecords },
    { buildCohort },
    { awaitedAudit, describedCohort },
    { drawAhead },
    { plannedDefinition },
    { plannedSettings },
    { writeAuditReport, writeMachineFiles, auditInThreeLines },
    { pngsFor },
    { beginAnswers },
    { comparisonQuestion },
    { speaker },
  ] = await Promise.all([
    import('../records/read/readDataset.js'),
    import('../records/recordTable.js'),
    import('../cohort/cohort.js'),
    import('../questions/audit.js'),
    import('../documents/formats/drawAhead.js'),
    import('../questions/plan/planFile.js'),
    import('../questions/plan/settings.js'),
    import('../documents/writeReport.js'),
    import('../documents/formats/pictures.js'),
    import('../questions/registry.js'),
    import('../questions/comparison/question.js'),
    import('../messages/speaker.js'),
  ])
  const plan = await planOf(order.plan)
  const corrections = await correctionsOf(order.corrections)
  const { made, outDir, formats, kind, setAside = [] } = order
  const onRead = (share: number): void => onProgress('reading', share)
  const reading = { today: made.day, corrections, setAside, onProgress: onRead }
  const records = await throughDoor(order.dataset, async (door) =>
    sharedRecords(await readRecords(order.dataset, { ...reading, door })),
  )
  if (records.restorations.rowCount > many) giveFlags(engineFlagsForMany(process.versions.v8))
  onProgress('computing', 0)
  const definition = plannedDefinition(plan)
  const settings = { ...plannedSettings(plan), detail: order.full === true ? 'full' : 'standard' } as const
  const ahead = answersThread?.ask({ records, definition, settings })
  const cohort = buildCohort(records, definition)
  const begun =
    ahead === undefined
      ? beginAnswers(cohort, settings)
      : {
          tightening: async () => {
            // What is said first takes longest: it is said once, unheard, while there is nothing to do but wait.
            speaker(order.language).text(comparisonQuestion.title)
            const come = await ahead
            return come === undefined ? comparisonQuestion.answer(cohort, settings) : come.tightening
          },
        }
  const described = describedCohort(cohort, settings)
  const machinesOnly = formats?.length === 0 && kind === undefined
  const outside = order.outside === true
  const picturesAhead = kind !== 'leaflet' && !machinesOnly && !outside ? drawer : undefined
  const wanted = {
    wish: pngsFor(formats ?? usualFormats, []),
    ...(order.language === undefined ? {} : { language: order.language }),
  }
  if (picturesAhead !== undefined) drawAhead('described', described, picturesAhead, wanted)
  const audit = await awaitedAudit(cohort, described, (share) => onProgress('computing', share), begun)
  if (picturesAhead !== undefined && (kind ?? 'audit') === 'audit')
    drawAhead('compared', audit, picturesAhead, wanted)
  onProgress('writing', 0)
  if (machinesOnly && !outside) {
    const { answerPath } = await writeMachineFiles(audit, { outDir, version })
    return { lines: auditInThreeLines(audit), path: answerPath, made: 'Answer' }
  }
  const { htmlPath } = await writeAuditReport(audit, {
    outDir,
    date: made.iso,
    version,
    ...(drawer === undefined ? {} : { drawer }),
    ...(formats === undefined ? {} : { formats }),
    ...(order.language === undefined ? {} : { language: order.language }),
    ...(order.paper === undefined ? {} : { paper: order.paper }),
    ...(kind === undefined ? {} : { kind }),
    ...(outside ? { outside } : {}),
    ...(order.comparison === undefined ? {} : { comparison: order.comparison }),
  })
  return { lines: auditInThreeLines(audit), path: htmlPath, made: 'Report' }
}
