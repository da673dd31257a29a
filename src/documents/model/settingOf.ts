import type { AuditResult } from '../../questions/audit.js'
import type { SectionSetting } from '../../questions/question.js'

/** What sections of questions need to know of the audit besides their own result. */
export function settingOf(audit: AuditResult): SectionSetting {
  return { definition: audit.definition, settings: audit.settings, answers: audit }
}
