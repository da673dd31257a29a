import type { AuditResult } from '../../questions/audit.js'
import type { Citations } from '../model/citation.js'

/** What every section is made from. */
export interface SectionContext {
  readonly audit: AuditResult
  readonly cite: Citations
  readonly version: string
}
