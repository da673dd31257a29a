/** Loaded before a program (`node --import`): tells on file descriptor 3 what it took, threads included. */
import { writeSync } from 'node:fs'
import { isMainThread } from 'node:worker_threads'

// A thread loads it too, and would tell the same a second time.
if (isMainThread) process.on('exit', tell)

function tell() {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage()
  writeSync(
    3,
    JSON.stringify({ processorSeconds: (userCPUTime + systemCPUTime) / 1e6, peakMegabytes: maxRSS / 1024 }),
  )
}
