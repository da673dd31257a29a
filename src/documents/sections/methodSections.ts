import { type MethodName, oncePerMethod } from '../../core/method.js'
import { methodWords } from '../../messages/methodWords.js'
import type { AuditResult } from '../../questions/audit.js'
import { usedMethods } from '../../questions/registry.js'
import { foreignCell, phraseCell, textColumn, wordCell } from '../model/cells.js'
import { type Citations, citationsOf } from '../model/citation.js'
import { foreign, paragraph, plainText, type Section, type Table } from '../model/document.js'
import { cautions, definitions, labelsOf, methodsParagraphs, settingLines } from '../wording/index.js'
import { type SectionContext, table } from './context.js'

/** Working definitions. */
export function definitionsSection({ audit, cite }: SectionContext): Section {
  return {
    id: 'definitions',
    title: labelsOf(cite.by).sections.definitions,
    blocks: [{ kind: 'terms', entries: definitions(audit, cite) }],
  }
}

/** What was really done: a text that can be taken over, and the method of each number. */
export function methodsSection({ audit, cite, version }: SectionContext): Section {
  return {
    id: 'methods',
    title: labelsOf(cite.by).sections.methods,
    blocks: [
      ...methodsParagraphs(audit, cite, version).map((content) => paragraph(content)),
      methodsTable(audit, cite),
    ],
  }
}

/** All cautions. */
export function cautionsSection({ audit, cite }: SectionContext): Section {
  return {
    id: 'cautions',
    title: labelsOf(cite.by).sections.cautions,
    blocks: [{ kind: 'list', items: cautions(audit, cite) }],
  }
}

/** Version, settings, seed, files and their checksums. */
export function provenanceSection({ audit, cite, version }: SectionContext): Section {
  const labels = labelsOf(cite.by)
  const { columns } = labels
  const { source } = audit.summary
  const { plan } = audit.settings
  return {
    id: 'provenance',
    title: labels.sections.provenance,
    blocks: [
      paragraph(cite.say('provenance.made-with', { version: foreign(version) })),
      table(
        'settings',
        { cite },
        {
          columns: [textColumn(columns.setting), textColumn(columns.value)],
          rows: settingLines(audit, cite).map(({ name, value }) => [
            wordCell(name),
            phraseCell(value, plainText(value)),
          ]),
        },
      ),
      table(
        'files',
        { cite },
        {
          columns: [textColumn(columns.file), textColumn(columns.checksum)],
          rows: [
            ...source.files.map(({ name, sha256 }) => [foreignCell(name), foreignCell(sha256)]),
            [wordCell(labels.allFiles), foreignCell(source.sha256)],
            ...(plan?.source === 'file'
              ? [[wordCell(cite.text('document.plan-written-beforehand')), foreignCell(plan.sha256)]]
              : []),
          ],
        },
      ),
    ],
  }
}

function methodsTable(audit: AuditResult, cite: Citations): Table {
  const { columns } = labelsOf(cite.by)
  return table(
    'methods',
    { cite },
    {
      columns: [textColumn(columns.quantity), textColumn(columns.method), textColumn(columns.page)],
      rows: methodsUsed(audit, cite).map(({ quantity, method, reference }) => [
        wordCell(quantity),
        wordCell(cite.by.text(methodWords(method))),
        foreignCell(reference),
      ]),
    },
  )
}

interface MethodUsed {
  readonly quantity: string
  readonly method: MethodName
  readonly reference: string
}

/** Every method that a result of this audit names, in the order of the questions, each once for each quantity. */
export function methodsUsed(audit: AuditResult, { by } = citationsOf(audit)): readonly MethodUsed[] {
  return usedMethods(audit).flatMap(({ quantity, used }) =>
    oncePerMethod(used).map(({ method, reference }) => ({ quantity: by.text(quantity), method, reference })),
  )
}
