/** Copies the catalogues, one folder a language, beside the compiled messages. Part of the build. */
import { cpSync, readdirSync, rmSync } from 'node:fs'
import { join, resolve } from 'node:path'

const from = resolve(import.meta.dirname, '../src/messages')
const to = resolve(import.meta.dirname, '../dist/messages')
const folders = (path) => readdirSync(path, { withFileTypes: true }).filter((entry) => entry.isDirectory())

for (const { name } of folders(to)) rmSync(join(to, name), { recursive: true })
for (const { name } of folders(from)) cpSync(join(from, name), join(to, name), { recursive: true })
