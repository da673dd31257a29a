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

/**
 * Audits a practice with the built command, as a user would, and reads answer.json.
 *
 * @param tables the records
 * @param command path of the built command, by default the one of this build
 */
export async function auditByCommand(
  tables: PracticeTables,
  command = resolve(import.meta.dirname, '../cli/main.js'),
): Promise<AuditOutcome> {
  const folder = await mkdtemp(join(tmpdir(), 'practice-'))
  try {
    const records = join(folder, 'records')
    writePractice(tables, records)
    const report = join(folder, 'report')
    const options = ['audit', records, '--out', report, '--formats', 'none', '--date', dayOfMaking]
    await run(process.execPath, [command, ...options], { maxBuffer: 1 << 26 })
    const parsed = answerShape.safeParse(JSON.parse(readFileSync(join(report, 'answer.json'), 'utf8')))
    if (parsed.success) return { kind: 'answered', answer: parsed.data }
    return { kind: 'failed', why: `answer.json: ${issueText(parsed.error.issues[0])}` }
  } catch (error) {
    return { kind: 'failed', why: firstLine(error) }
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

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
