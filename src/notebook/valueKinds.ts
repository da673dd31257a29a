import type { ChartSpecification } from '../charts/specification.js'
import type { Cohort } from '../cohort/cohort.js'
import type { Estimate, TestResult } from '../core/estimate.js'
import type { MethodName } from '../core/method.js'
import { hasMessage } from '../messages/speaker.js'
import type { PooledResult } from '../pooling/coordinator/groupResult.js'
import type { AuditResult } from '../questions/audit.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import type { AskedComparison } from '../questions/comparison/asked.js'
import type { TighteningComparisonResult } from '../questions/crudeComparison/answer.js'
import type { AskedIncidence } from '../questions/incidence/answer.js'
import type { AskedRetention } from '../questions/retention/answer.js'
import type { WhatElseMatters } from '../questions/whatElse/answer.js'
import type { RecordSet } from '../records/dataset.js'

/** The kind that a result names itself by. */
function kindOf(value: object): unknown {
  return (value as { readonly kind?: unknown }).kind
}

function has(value: object, ...names: readonly string[]): boolean {
  return names.every((name) => name in value)
}

/** Whether a value is a Vega-Lite specification, of the toolkit or of the user's own. */
export function isChart(value: object): value is ChartSpecification {
  if ('$schema' in value) return /vega-lite/.test(String(value.$schema))
  const drawn = ['mark', 'layer', 'hconcat', 'vconcat', 'concat', 'repeat', 'spec'].some(
    (name) => name in value,
  )
  return drawn && Object.getPrototypeOf(value) === Object.prototype && !Object.isFrozen(value)
}

/** Whether a value is the result of `auditCohort`. */
export function isAudit(value: object): value is AuditResult {
  return has(value, 'incidence', 'retention', 'summary', 'settings')
}

/** Whether a value is records. */
export function isRecords(value: object): value is RecordSet {
  return has(value, 'source', 'restorations', 'tightenings', 'visits', 'quality')
}

/** Whether a value is a cohort. */
export function isCohort(value: object): value is Cohort {
  return has(value, 'definition', 'summary', 'timeDays', 'status')
}

/** Whether a value is the result of `retention`. */
export function isRetention(value: object): value is AskedRetention {
  return kindOf(value) === 'retention'
}

/** Whether a value is the result of `incidence`. */
export function isIncidence(value: object): value is AskedIncidence {
  return kindOf(value) === 'incidence'
}

/** Whether a value is the contrast of the two ways of tightening without weighting. */
export function isComparison(value: object): value is TighteningComparisonResult {
  return kindOf(value) === 'comparison'
}

/** Whether a value is the weighted comparison, asked for by itself. */
export function isAskedComparison(value: object): value is AskedComparison {
  return isWeighted(value) && has(value, 'asked')
}

/** Whether a value is the weighted comparison. */
export function isWeighted(value: object): value is ComparisonResult {
  return kindOf(value) === 'tightening'
}

/** Whether a value is the result of `whatElseMatters`. */
export function isWhatElse(value: object): value is WhatElseMatters {
  return kindOf(value) === 'whatElseMatters'
}

/** Whether a value is a pooled result. */
export function isPooled(value: object): value is PooledResult {
  return has(value, 'protocol', 'protocolHash', 'route', 'sites', 'endpoints')
}

/** Whether a value is an estimate. */
export function isEstimate(value: object): value is Estimate {
  return has(value, 'estimate', 'interval', 'level', 'method', 'n', 'events') && namesMethod(value)
}

/** Whether a value is a test. */
export function isTest(value: object): value is TestResult {
  return has(value, 'statistic', 'pValue', 'method', 'n') && namesMethod(value)
}

function namesMethod(value: object): boolean {
  return isMethodName((value as { readonly method?: unknown }).method)
}

/** Whether a value is the name of a method; a text or list of a cell's own is none. */
export function isMethodName(value: unknown): value is MethodName {
  return Array.isArray(value) && value.length > 0 && value.every((term) => isTerm(term))
}

function isTerm(term: unknown): boolean {
  const code = typeof term === 'string' ? term : (term as { readonly code?: unknown } | null)?.code
  return hasMessage(`method.${String(code)}`)
}
