import type { RecallEntry, RecallList, RecallPatient } from './recallList.js'

/** Header of the recall list, as table and as CSV. */
export const recallHeader = [
  'patient_id',
  'restoration_id',
  'clinic_id',
  'tooth_position',
  'list',
  'found_loose',
  'since',
  'check',
  'due',
  'days_overdue',
] as const

/** The list with a row per restoration, the restorations of a patient together. */
export function recallRows({ overdue, dueSoon }: RecallList): readonly (readonly string[])[] {
  const rowsOf = (list: string) => (patient: RecallPatient) =>
    patient.restorations.map((one) => [
      patient.patient_id,
      one.restoration_id,
      one.clinic_id,
      one.tooth_position,
      list,
      one.foundLoose,
      one.since,
      one.everChecked ? 'checked' : 'never checked',
      one.due,
      String(one.daysOverdue),
    ])
  return [...overdue.flatMap(rowsOf('overdue')), ...dueSoon.flatMap(rowsOf('due soon'))]
}

/** How many are on the list and why the others are not, in sentences. */
export function recallInWords({
  overdue,
  dueSoon,
  notListed,
  intervalDays,
  soonDays,
}: RecallList): readonly string[] {
  const patients = (count: number): string => (count === 1 ? '1 patient' : `${count} patients`)
  const loose = overdue.filter((one) => one.foundLoose === 'when last seen').length
  const { notYetDue, noScrew, patientGone, removedOrLost } = notListed
  return [
    `${patients(overdue.length)} overdue for a check of the screw (more than ${intervalDays} days, or found loose when last seen: ${loose}), ${patients(dueSoon.length)} due within ${soonDays} days.`,
    `Not listed: ${notYetDue} restorations not yet due, ${removedOrLost} removed or lost, ${patientGone} of patients who died, moved or declined, ${noScrew} without a screw.`,
  ]
}

/** The list as a page to be printed: patients one below the other, found loose first, with room for the appointment. */
export function recallPage(list: RecallList, date: string): string {
  const section = (title: string, patients: readonly RecallPatient[]): string =>
    patients.length === 0
      ? `<h2>${title}</h2><p>Nobody.</p>`
      : `<h2>${title}</h2><table><thead><tr>${['Patient', 'Tooth', 'Restoration', 'Found loose', 'Last check', 'Due', 'Days overdue', 'Appointment'].map((one) => `<th scope="col">${one}</th>`).join('')}</tr></thead>${patients.map(patientRows).join('')}</table>`
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Recall list, ${date}</title>
<style>
body { font: 11pt/1.4 sans-serif; margin: 2rem; color: #111; }
table { border-collapse: collapse; width: 100%; }
th, td { border-bottom: 1px solid #999; padding: 0.25rem 0.5rem; text-align: left; vertical-align: top; }
thead { display: table-header-group; }
tbody { break-inside: avoid; }
.loose { font-weight: bold; }
@page { margin: 15mm; }
@media print { body { margin: 0; } }
</style></head><body>
<h1>Recall list, ${date}</h1>
${recallInWords(list)
  .map((one) => `<p>${escaped(one)}</p>`)
  .join('\n')}
<p>By pseudonym, for inside the practice. Whether and when a screw is checked is for the dentist to decide.</p>
${section('Overdue', list.overdue)}
${section('Due soon', list.dueSoon)}
</body></html>
`
}

function patientRows(patient: RecallPatient): string {
  return `<tbody>${patient.restorations.map((one, index) => entryRow(index === 0 ? patient.patient_id : '', one)).join('')}</tbody>`
}

function entryRow(patient: string, one: RecallEntry): string {
  const cells = [
    patient,
    one.tooth_position,
    one.restoration_id,
    one.foundLoose === 'never' ? '' : one.foundLoose,
    one.everChecked ? one.since : `never (delivered ${one.since})`,
    one.due,
    one.daysOverdue > 0 ? String(one.daysOverdue) : '',
    '',
  ]
  const loose = one.foundLoose === 'when last seen' ? ' class="loose"' : ''
  return `<tr${loose}>${cells.map((cell) => `<td>${escaped(cell)}</td>`).join('')}</tr>`
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;')
}
