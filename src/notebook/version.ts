import { readFileSync } from 'node:fs'

/** Version of the toolkit, as package.json states it. */
export const version: string = (
  JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as { version: string }
).version
