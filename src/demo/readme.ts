import { formatCount, formatPercent, formatRatio } from '../core/format.js'
import type { Field, SheetName } from '../vocabulary/fields.js'
import { mistakeKinds } from './mistakes.js'
import type { DemoScenario } from './scenario.js'
import { demoFields, demoFiles, demoSheets } from './tables.js'
import { type DemoTruth, demoTitle } from './truth.js'

/** The page that stands beside the demo data: what they are, what is true of them, and the data dictionary. */
export function demoReadme(truth: DemoTruth, rows: Readonly<Record<SheetName, number>>): string {
  return `${[...opening(truth, rows), ...whatIsTrue(truth), ...mistakesPart(truth), ...dictionary()].join('\n')}\n`
}

function opening(truth: DemoTruth, rows: Readonly<Record<SheetName, number>>): readonly string[] {
  const { scenario } = truth
  return [
    `# ${demoTitle}`,
    '',
    'No clinic, operator or patient in these tables exists: every row was drawn at random. Say so on every page and picture made from them. They show how the toolkit works, and nothing about how screws behave.',
    '',
    `Seed ${truth.seed}. Deliveries from ${scenario.firstDelivery} to ${scenario.lastDelivery}, followed to ${scenario.endOfObservation}. The same seed gives the same files, byte for byte: \`holdfast demo DIR --seed ${truth.seed}\`.`,
    '',
    '| file | rows | what it holds |',
    '|---|---|---|',
    `| ${demoFiles.restorations} | ${formatCount(rows.restorations)} | one row per crown or prosthesis |`,
    `| ${demoFiles.tightenings} | ${formatCount(rows.tightenings)} | one row per application of torque |`,
    `| ${demoFiles.visits} | ${formatCount(rows.visits)} | one row per restoration, visit and finding |`,
    `| ${demoFiles.one_sheet} | ${formatCount(rows.one_sheet)} | the same restorations in the one-sheet form |`,
    '| datapackage.json | | names, types, units, allowed values and keys (Data Package and Table Schema) |',
    '| truth.json | | the settings of the generator, and the rows with deliberate mistakes |',
    '',
  ]
}

function whatIsTrue(truth: DemoTruth): readonly string[] {
  const { scenario, counts, repeatedAgainstSingle } = truth
  const { hazardRatios, baseline } = scenario
  return [
    '## What is true of them',
    '',
    `${formatCount(counts.restorations)} restorations of ${formatCount(counts.patients)} patients; ${formatCount(counts.foundLoose)} found loose at least once. Hazard ratios below hold given the frailty of the patient (conditional). What a model without the frailty estimates, from looseness found at visits, is another figure (marginal): docs/verification/demo-coverage.md gives it.`,
    '',
    `- Tightened again in the window against once: hazard ratio ${formatRatio(repeatedAgainstSingle.conditionalHazardRatio)}; again outside the window ${formatRatio(hazardRatios.tightening.repeated_outside_window)}; undone and tightened ${formatRatio(hazardRatios.tightening.undone_then_tightened)}.`,
    `- Frailty shared by the restorations of a patient: gamma, mean 1, variance ${scenario.frailtyVariance}.`,
    `- Time to first loosening: Weibull, shape ${baseline.weibullShape} (early loosening is likelier than late), cumulative hazard ${baseline.cumulativeHazardAt3Years} at 3 years for the reference restoration: premolar, conical connection, no bruxism, delivered in the first year, tightened once, in an average clinic.`,
    `- Position: ${ratios(hazardRatios.region)}. Connection: ${ratios(hazardRatios.connection)}. Bruxism: ${ratios(hazardRatios.bruxism)}. Type: ${ratios(hazardRatios.restorationType)}. Each later year of delivery: ${formatRatio(hazardRatios.perDeliveryYear)}. After a repair: ${formatRatio(hazardRatios.afterLoosening)}, the clock set to zero.`,
    `- Clinics: ${scenario.clinics.map((clinic) => `${clinic.id} ${formatRatio(clinic.hazardRatio)}`).join(', ')}. Operators differ in what they prefer and in skill: ${scenario.clinics.flatMap((clinic) => clinic.operators.map((one) => `${one.id} ${formatRatio(one.hazardRatio)}`)).join(', ')}.`,
    ...riskLines(truth),
    ...choiceLines(scenario),
    ...recordLines(scenario),
    `- A loose screw is found at a visit with a check, or brings the patient in (${formatPercent(scenario.detection.symptomatic)} of them, after ${scenario.detection.meanDaysToVisit} days on average).`,
    `- Competing: implant loss (cumulative hazard ${scenario.competing.implantLossAtOneYear} in the first year), removal or remake for another cause (${scenario.competing.removalPerYear} per year), death (${scenario.competing.deathPerYearAt60} per year at 60). Lost to follow-up: ${formatPercent(scenario.lossToFollowUp.perYear)} of patients per year.`,
    `- Tightening group unknown in ${formatPercent(scenario.charting.protocolUnknown)}; written down without the tightenings in ${formatPercent(scenario.charting.groupOnly)}; written down wrongly in ${formatPercent(scenario.charting.groupMisstated)}.`,
    '',
  ]
}

function riskLines(truth: DemoTruth): readonly string[] {
  return [
    `- True risk of a first loosening in the single crowns, had all been tightened once, or all again in the window, with competing events as they come: ${truth.trueRisks
      .map(
        ({ years, single, repeatedInWindow }) =>
          `by ${years} ${years === 1 ? 'year' : 'years'} ${formatPercent(single)} and ${formatPercent(repeatedInWindow)}`,
      )
      .join('; ')}. A loosening is found some time after it happens, and not at all in those who stay away.`,
  ]
}

function recordLines(scenario: DemoScenario): readonly string[] {
  const { clinics } = scenario
  const drifting = clinics.flatMap((clinic) => clinic.devices.filter((one) => one.driftPerYear !== undefined))
  const read = clinics.flatMap((clinic) => clinic.devices.filter((one) => one.readBy !== undefined))
  return [
    `- Recall differs between clinics: every ${clinics.map(({ id, recall }) => `${recall.intervalDays} days at ${id} (${formatPercent(recall.attendance)} come)`).join(', ')}.`,
    `- The tick for the check of the screw is left blank, whatever was found, at ${clinics.map(({ id, recall }) => `${formatPercent(recall.tickBlank)} of visits at ${id}`).join(', ')}.`,
    ...clinics
      .filter(({ chartOnly }) => chartOnly !== undefined)
      .map(
        ({ id, chartOnly }) =>
          `- ${id} wrote down the group without the tightenings in another ${formatPercent(chartOnly!)}.`,
      ),
    `- The achieved torque is read by another instrument at ${read.map(({ id, readBy }) => `${id} (by ${readBy})`).join(' and ')}.`,
    ...drifting.map(
      ({ id, driftPerYear, firstCalibration }) =>
        `- ${id} was not calibrated after ${firstCalibration} and drifts by ${formatPercent(driftPerYear!)} a year; the other devices are steady. Torque acts on nothing in these data.`,
    ),
  ]
}

function choiceLines(scenario: DemoScenario): readonly string[] {
  const changed = scenario.clinics.filter((clinic) => clinic.protocolChange !== undefined)
  const late = scenario.clinics.filter((clinic) => clinic.observationStart !== undefined)
  return [
    `- Choice of protocol: operators prefer one or the other, and tighten again more often in molars (odds ratio ${formatRatio(scenario.choice.molar)}) and in probable or definite bruxism (${formatRatio(scenario.choice.bruxism)}). In clinics whose reason is the maker's instruction it depends on the component system.`,
    ...changed.map(
      ({ id, protocolChange }) =>
        `- ${id} changed its protocol on ${protocolChange!.date}: tightened again in ${formatPercent(protocolChange!.before)} before and ${formatPercent(protocolChange!.after)} from then on.`,
    ),
    ...late.map(
      ({ id, observationStart }) =>
        `- ${id} recorded findings from ${observationStart} on, and took up what was still in care and not known to have loosened (left truncation).`,
    ),
  ]
}

function ratios(weights: Readonly<Record<string, number>>): string {
  return Object.entries(weights)
    .map(([label, ratio]) => `${label} ${formatRatio(ratio)}`)
    .join(', ')
}

function mistakesPart(truth: DemoTruth): readonly string[] {
  return [
    '## Mistakes made on purpose',
    '',
    'Fewer than 1% of the rows hold mistakes of the kind that practices make. `expectedMistakes` in truth.json names the rows, those that go down with them included.',
    '',
    '| mistake | rows concerned |',
    '|---|---|',
    ...mistakeKinds.map(
      (kind) => `| ${kind} | ${truth.expectedMistakes.filter((one) => one.kind === kind).length} |`,
    ),
    '',
  ]
}

function dictionary(): readonly string[] {
  return ['## Data dictionary', '', ...demoSheets.flatMap(sheetPart)]
}

function sheetPart(sheet: SheetName): readonly string[] {
  const known = new Set(demoFields('restorations').map((field) => field.name))
  const fields = demoFields(sheet).filter((field) => sheet !== 'one_sheet' || !known.has(field.name))
  return [
    `### ${demoFiles[sheet]}`,
    '',
    ...(sheet === 'one_sheet' ? ['The fields of restorations.csv, and:', ''] : []),
    '| field | what it says | unit, or allowed values |',
    '|---|---|---|',
    ...fields.map((field) => `| ${field.name} | ${field.description} | ${allowed(field)} |`),
    '',
  ]
}

function allowed(field: Field): string {
  if (field.codes !== undefined) return field.codes.join(', ')
  if (field.unit !== undefined && field.range !== undefined) {
    return `${field.unit}, ${field.range.min} to ${field.range.max}`
  }
  if (field.kind === 'date') return 'YYYY-MM-DD'
  return field.unit ?? ''
}
