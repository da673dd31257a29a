/** Copies the catalogues, one folder a language, and the lists of names beside the compiled code. Part of the build. */
import { cpSync, readdirSync, rmSync } from 'node:fs'
import { join, resolve } from 'node:path'

const from = resolve(import.meta.dirname, '../src/messages')
const to = resolve(import.meta.dirname, '../dist/messages')
const folders = (path) => readdirSync(path, { withFileTypes: true }).filter((entry) => entry.isDirectory())

for (const { name } of folders(to)) rmSync(join(to, name), { recursive: true })
for (const { name } of folders(from)) cpSync(join(from, name), join(to, name), { recursive: true })

const names = 'records/identities/names'
cpSync(resolve(import.meta.dirname, '../src', names), resolve(import.meta.dirname, '../dist', names), {
  recursive: true,
})
