/**
 * The main figures as a journal, a copier and two kinds of colour blindness show them: at 85 mm, in grey (luminance of
 * ITU-R BT.709), with protanopia and with deuteranopia (matrices of Machado, Oliveira and Fernandes 2009, severity 1, on
 * linear light). Written side by side to docs/figures, to be looked at. Run after an audit:
 *
 *   node scripts/figureViews.mjs reports/demo
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join, resolve } from 'node:path'

const require = createRequire(import.meta.url)
const { createCanvas, GlobalFonts, loadImage } = require('canvas')
for (const file of ['DejaVuSansCondensed.ttf', 'DejaVuSansCondensed-Bold.ttf']) {
  GlobalFonts.registerFromPath(require.resolve(`dejavu-fonts-ttf/ttf/${file}`), 'DejaVu Sans Condensed')
}

const figures = [
  'comparison-curves',
  'comparison-forest',
  'comparison-balance',
  'comparison-overlap',
  'incidence',
  'retention',
  'hazard-ratios',
  'attrition',
  'completeness',
  'patient-array',
]
const grey = [0.2126, 0.7152, 0.0722]
const views = [
  undefined,
  [...grey, ...grey, ...grey],
  [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
  [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
]
const linear = (byte) => {
  const share = byte / 255
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
}
const byteOf = (light) => {
  const share = Math.min(1, Math.max(0, light))
  return Math.round(255 * (share <= 0.0031308 ? 12.92 * share : 1.055 * share ** (1 / 2.4) - 0.055))
}

const widthPx = Math.round((85 / 25.4) * 96)
const gapPx = 12
const folder = resolve(process.argv[2] ?? 'reports/demo', 'figures')
const target = resolve(import.meta.dirname, '../docs/figures')
mkdirSync(target, { recursive: true })

for (const name of figures) {
  const picture = await loadImage(readFileSync(join(folder, `${name}-90mm.svg`)))
  const heightPx = Math.round((picture.height * widthPx) / picture.width)
  const sheet = createCanvas(views.length * (widthPx + gapPx) - gapPx, heightPx)
  const page = sheet.getContext('2d')
  page.fillStyle = '#ffffff'
  page.fillRect(0, 0, sheet.width, heightPx)
  for (const [index, matrix] of views.entries()) {
    const left = index * (widthPx + gapPx)
    page.drawImage(picture, left, 0, widthPx, heightPx)
    if (matrix === undefined) continue
    const seen = page.getImageData(left, 0, widthPx, heightPx)
    for (let at = 0; at < seen.data.length; at += 4) {
      const [red, green, blue] = [0, 1, 2].map((channel) => linear(seen.data[at + channel]))
      for (let channel = 0; channel < 3; channel++) {
        const [one, two, three] = matrix.slice(3 * channel, 3 * channel + 3)
        seen.data[at + channel] = byteOf(one * red + two * green + three * blue)
      }
    }
    page.putImageData(seen, left, 0)
  }
  writeFileSync(join(target, `${name}.png`), sheet.toBuffer('image/png'))
}
