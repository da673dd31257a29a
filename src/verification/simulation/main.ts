#!/usr/bin/env node
import { simulate } from './simulate.js'
import { simulationStudies } from './studies.js'

process.exitCode = await simulate(process.argv.slice(2), simulationStudies, {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
})
