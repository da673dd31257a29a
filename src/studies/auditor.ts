import { execFile } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { promisify } from 'node:util'
import { answerShape, type StudiedAnswer } from './answer.js'
import { writePractice } from './practices/folder.js'
import type { PracticeTables } from './practices/practice.js'

const run = promisify(execFile)

/** What came of auditing one practice: the answer, or why there is none. */
export type AuditOutcome =
  | { readonly kind: 'answered'; readonly answer: StudiedAnswer }
  | { readonly kind: 'failed'; readonly why: string }

/** Day printed as that of making: after every practice's last day. */
const dayOfMaking = '2026-06-30'

/** Whatever audits the records of a practice: the built command, or functions called in this process. */
export type Auditor = (tables: PracticeTables) => Promise<AuditOutcome>

/** Writes a practice into a folder, hands it on, and takes the folder away again, whatever came of it. */
export async function inFolder(
  tables: PracticeTables,
  audit: (records: string, report: string) => Promise<unknown>,
): Promise<AuditOutcome> {
  const folder = await mkdtemp(join(tmpdir(), 'practice-'))
  try {
    const records = join(folder, 'records')
    writePractice(tables, records)
    const parsed = answerShape.safeParse(await audit(records, join(folder, 'report')))
    if (parsed.success) return { kind: 'answered', answer: parsed.data }
    return { kind: 'failed', why: `answer: ${issueText(parsed.error.issues[0])}` }
  } catch (error) {
    return { kind: 'failed', why: firstLine(error).replaceAll(folder, 'folder') }
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

/** Audits a practice with the built command, as a user would, and reads the answer that lies beside the report. */
export const auditByCommand: Auditor = (tables) =>
  inFolder(tables, async (records, report) => {
    const command = resolve(import.meta.dirname, '../cli/main.js')
    const options = ['audit', records, '--out', report, '--formats', 'none', '--date', dayOfMaking]
    await run(process.execPath, [command, ...options], { maxBuffer: 1 << 26 })
    return JSON.parse(readFileSync(join(report, 'answer.json'), 'utf8'))
  })

function issueText(
  issue: { readonly path: readonly PropertyKey[]; readonly message: string } | undefined,
): string {
  return issue === undefined ? 'unreadable' : `${issue.path.map(String).join('.')}: ${issue.message}`
}

function firstLine(error: unknown): string {
  const text =
    typeof error === 'object' && error !== null && 'stderr' in error && String(error.stderr).trim() !== ''
      ? String(error.stderr)
      : String(error)
  return text.trim().split('\n')[0]!.slice(0, 200)
}
