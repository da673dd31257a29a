import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { randomStream } from '../../src/core/random.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { parsePlan } from '../../src/questions/plan/planFile.js'
import { plannedSettings } from '../../src/questions/plan/settings.js'
import { fairScenarios } from './fairScenarios.js'
import { simulatedPractice } from './simulatedPractice.js'

/** The cohort of a simulated practice of a scenario. */
export function simulatedCohort(name: string): Cohort {
  return buildCohort(simulatedPractice(fairScenarios.find((one) => one.name === name)!, randomStream(53)))
}

/** An audit that holds every section that a report of one practice can have: a plan that asks for all, in full. */
export function everyAnalysis(): AuditResult {
  const plan = parsePlan(
    '{"written": "2026-01-05", "title": "Our plan", "sensitivity": ["visit-schedule", "last-contact", "equal-follow-up", "later-tightening", "period-categories", "first-years-left-out", "lost-to-follow-up", "missing-exposure", "misclassification", "unmeasured-confounding", "immortal-time"]}',
  )
  return auditCohort(simulatedCohort('immortal time'), { ...plannedSettings(plan), detail: 'full' })
}
