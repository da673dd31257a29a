/**
 * Makes the JSON Schemas of the files that a study group exchanges (docs/schema) from the schemas by which they are
 * read. Run it after a build and a change of them; a test makes them again.
 *
 *   node scripts/poolingSchemas.mjs          writes the files
 *   node scripts/poolingSchemas.mjs --print  prints them as one object, by name
 */
import { writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { z } from 'zod'
import { messageSchemas } from '../dist/pooling/protocol/messages.js'
import { protocolSchema } from '../dist/pooling/protocol/protocol.js'

const folder = resolve(import.meta.dirname, '../docs/schema')
const schemas = {
  'protocol.schema.json': ['Protocol of a study group', protocolSchema],
  'group-ready.schema.json': ['Ready note of a practice', messageSchemas.ready],
  'group-list.schema.json': ['List of a study group: who sums, over what', messageSchemas.list],
  'group-answer.schema.json': ['Masked answer of a practice', messageSchemas.answer],
  'group-void.schema.json': ['Void: a practice will not answer a list', messageSchemas.void],
  'group-totals.schema.json': ['Sums over all practices of a list', messageSchemas.totals],
  'group-round.schema.json': ['Request for one round of the model', messageSchemas.round],
  'group-objection.schema.json': ['Objection to printing cells', messageSchemas.objection],
}
const texts = Object.fromEntries(
  Object.entries(schemas).map(([name, [title, schema]]) => {
    const { $schema, ...rest } = z.toJSONSchema(schema)
    return [name, `${JSON.stringify({ $schema, title, ...rest }, undefined, 1)}\n`]
  }),
)
if (process.argv.includes('--print')) process.stdout.write(JSON.stringify(texts))
else for (const [name, text] of Object.entries(texts)) writeFileSync(join(folder, name), text)
