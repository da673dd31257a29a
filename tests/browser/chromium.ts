import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type BrowserContext, chromium } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'

const path = process.env.CHROMIUM_PATH ?? '/usr/bin/chromium'

/** Everything that Chromium would otherwise do on the network by itself is switched off. */
const flags = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

/**
 * Runs tests in Debian's Chromium. Where there is none, one test passes and says aloud that the others did not run;
 * `.ci/run` installs it, so that there they always do.
 */
export function describeInChromium(name: string, tests: (context: () => BrowserContext) => void): void {
  if (!existsSync(path)) {
    test(`${name}: no Chromium here, the browser tests did not run`, () => {
      process.stderr.write(`NOT RUN: ${name}. There is no Chromium at ${path}; apt-get install chromium.\n`)
      expect(existsSync(path)).toBe(false)
    })
    return
  }
  describe(name, () => {
    let opened: BrowserContext | undefined
    let profile = ''
    beforeAll(async () => {
      profile = mkdtempSync(join(tmpdir(), 'chromium-'))
      opened = await chromium.launchPersistentContext(profile, { executablePath: path, args: flags })
    })
    afterAll(async () => {
      await opened?.close()
      rmSync(profile, { recursive: true, force: true })
    })
    tests(() => opened!)
  })
}

/** Where a text of a figure stands on the page. */
export interface TextBox {
  readonly text: string
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

/** Pairs of texts that overlap by more than a hair, and texts that leave the frame, in words. */
export function layoutFaults(boxes: readonly TextBox[], frame: Omit<TextBox, 'text'>): readonly string[] {
  const slack = 0.5
  const outside = boxes
    .filter(
      (box) =>
        box.left < frame.left - slack ||
        box.right > frame.right + slack ||
        box.top < frame.top - slack ||
        box.bottom > frame.bottom + slack,
    )
    .map((box) => `“${box.text}” leaves the frame`)
  const overlapping = boxes.flatMap((box, index) =>
    boxes
      .slice(index + 1)
      .filter(
        (other) =>
          Math.min(box.right, other.right) - Math.max(box.left, other.left) > slack &&
          Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top) > lineSlack(box, other),
      )
      .map((other) => `“${box.text}” overlaps “${other.text}”`),
  )
  return [...outside, ...overlapping]
}

/** A text box is taller than its letters: lines set closely may share a third of the lower box. */
function lineSlack(box: TextBox, other: TextBox): number {
  return Math.min(box.bottom - box.top, other.bottom - other.top) / 3
}
