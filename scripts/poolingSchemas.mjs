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
import { protocolSchema } from '../dist/pooling/protocol.js'
import { answerSchema, requestSchema, summarySchema } from '../dist/pooling/summarySchema.js'

const folder = resolve(import.meta.dirname, '../docs/schema')
const schemas = {
  'protocol.schema.json': ['Protocol of a study group', protocolSchema],
  'site-summary.schema.json': ['Site summary: what leaves a practice', summarySchema],
  'round-request.schema.json': ['Request of the coordinator for one round of the model', requestSchema],
  'round-answer.schema.json': ['Answer of a site to one round of the model', answerSchema],
}
const texts = Object.fromEntries(
  Object.entries(schemas).map(([name, [title, schema]]) => {
    const { $schema, ...rest } = z.toJSONSchema(schema)
    return [name, `${JSON.stringify({ $schema, title, ...rest }, undefined, 1)}\n`]
  }),
)
if (process.argv.includes('--print')) process.stdout.write(JSON.stringify(texts))
else for (const [name, text] of Object.entries(texts)) writeFileSync(join(folder, name), text)
