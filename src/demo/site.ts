import type { DayNumber } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { type Draws, drawLabel, drawNormal, drawWhole, happens, written } from './draws.js'
import type { DemoPatient } from './patient.js'

/** One restoration on its implants, as it was made; nothing of what happens to it afterwards. */
export interface DemoSite {
  readonly position: string
  readonly region: 'anterior' | 'premolar' | 'molar'
  readonly implantId: string
  readonly type: string
  /** Positions of the screws of a prosthesis on several implants; one empty text for a single crown. */
  readonly screws: readonly string[]
  readonly system: string
  readonly connection: string
  readonly retention: string
  readonly placementDay: DayNumber
  /** Optional fields by their name in the data dictionary. */
  readonly details: Readonly<Record<string, string | number | undefined>>
}

/** How often each tooth of a quadrant is replaced, counted from the midline. */
const toothWeights = { 1: 7, 2: 6, 3: 4, 4: 16, 5: 20, 6: 34, 7: 13 }
const quadrantWeights = { 1: 25, 2: 25, 3: 25, 4: 25 }

const connectionsOfSystem: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  system_1: { external_hex: 70, internal_hex: 30 },
  system_2: { internal_hex: 75, conical: 25 },
  system_3: { conical: 92, internal_hex: 8 },
  system_4: { external_hex: 25, internal_other: 35, conical: 37, external_other: 3 },
}

/** Share of restorations on a locking taper, which has no screw to loosen. */
const screwlessShare = 0.008

/** Positions that the generator fills: 7 of each quadrant. */
const positionsInMouth = Object.keys(toothWeights).length * Object.keys(quadrantWeights).length

/** Draws the restorations of a patient's first treatment plan: distinct sites, one per delivery as long as any is free. */
export function drawSites(draws: Draws, patient: DemoPatient): readonly DemoSite[] {
  const taken = new Set<string>()
  const sites: DemoSite[] = []
  for (const delivery of patient.deliveries) {
    // Two full arches leave nothing to restore.
    if (taken.size >= positionsInMouth) break
    sites.push(drawSite(draws, patient, taken, sites.length, delivery))
  }
  return sites
}

function drawFreePosition(random: RandomStream, taken: Set<string>): string {
  for (;;) {
    const position = `${drawLabel(random, quadrantWeights)}${drawLabel(random, toothWeights)}`
    if (taken.has(position)) continue
    taken.add(position)
    return position
  }
}

function drawSite(
  draws: Draws,
  patient: DemoPatient,
  taken: Set<string>,
  number: number,
  delivery: DayNumber,
): DemoSite {
  const position = drawFreePosition(draws('tooth_position', number), taken)
  const tooth = Number(position[1])
  const region = tooth <= 3 ? 'anterior' : tooth <= 5 ? 'premolar' : 'molar'
  const wanted = drawLabel(draws('restoration_type', number), {
    single_crown: 885,
    splinted_crowns: 58,
    fixed_partial: 45,
    fixed_partial_cantilever: 6,
    full_arch: 6,
  })
  const screws = screwPositions(wanted, position, taken)
  const type = screws.length === 1 ? 'single_crown' : wanted
  const system = drawLabel(draws('component_system', number), patient.clinic.systems)
  const screwless = type === 'single_crown' && happens(draws('screwless', number), screwlessShare)
  const connection = drawLabel(draws('connection', number), connectionsOfSystem[system]!)
  const retention = drawLabel(draws('retention_mode', number), { screw: 80, cement: 14, screw_and_cement: 6 })
  const kind = { region, type, system, retention: screwless ? 'cement' : retention, screwless } as const
  return {
    position,
    region,
    implantId: `${patient.id}_i${number + 1}`,
    type,
    screws: type === 'single_crown' ? [''] : screws,
    system,
    connection: screwless ? 'screwless' : connection,
    retention: kind.retention,
    placementDay: delivery - drawWhole(draws('implant_placement_date', number), 85, 420),
    details: drawDetails(draws, patient, kind, number),
  }
}

/** Implants of a prosthesis, the most posterior first; where a neighbour is taken already, a single crown is made. */
function screwPositions(type: string, position: string, taken: Set<string>): readonly string[] {
  const quadrant = position[0]!
  const tooth = Number(position[1])
  if (type === 'single_crown') return [position]
  const fullArch = type === 'full_arch'
  const teeth = fullArch ? [6, 4, 2] : type === 'splinted_crowns' ? [tooth, tooth - 1] : [tooth, tooth - 2]
  const sides = fullArch ? [quadrant, acrossMidline(quadrant)] : [quadrant]
  const span = sides.flatMap((side) => spanOf(side, fullArch ? 7 : tooth, Math.min(...teeth), fullArch))
  const free = Math.min(...teeth) >= 1 && span.every((one) => one === position || !taken.has(one))
  if (!free || (fullArch && tooth !== 6)) return [position]
  for (const one of span) taken.add(one)
  return sides.flatMap((side) => teeth.map((one) => `${side}${one}`))
}

/** Every position that a prosthesis covers on one side, pontics included. */
function spanOf(side: string, from: number, to: number, toMidline: boolean): readonly string[] {
  const last = toMidline ? 1 : to
  return Array.from({ length: from - last + 1 }, (_unused, step) => `${side}${from - step}`)
}

function acrossMidline(quadrant: string): string {
  return { '1': '2', '2': '1', '3': '4', '4': '3' }[quadrant]!
}

interface SiteKind {
  readonly region: 'anterior' | 'premolar' | 'molar'
  readonly type: string
  readonly system: string
  readonly retention: string
  readonly screwless: boolean
}

const diameterMeans = { anterior: 3.7, premolar: 4.1, molar: 4.7 }

const coatingOfSystem: Readonly<Record<string, string>> = {
  system_1: 'none',
  system_2: 'none',
  system_3: 'carbon',
  system_4: 'gold',
}

function drawDetails(
  draws: Draws,
  patient: DemoPatient,
  kind: SiteKind,
  number: number,
): Readonly<Record<string, string | number | undefined>> {
  const at = (purpose: string): RandomStream => draws(purpose, number)
  const kept = <Value>(field: string, value: Value, emptyShare: number): Value | undefined =>
    written(at(`${field} empty`), value, emptyShare)
  const screwRetained = kind.retention !== 'cement'
  const angle = at('screw_channel_angle_deg')
  const angled = happens(angle, 0.22) && screwRetained && kind.region !== 'molar'
  const diameter = drawNormal(at('implant_diameter_mm'), diameterMeans[kind.region], 0.4, [3, 6], 2)
  const length = drawNormal(at('implant_length_mm'), 10.5, 1.5, [6, 15], 1)
  const radiographs = patient.clinic.id === 'clinic_E' ? 0.5 : 0.8
  return {
    implant_diameter_mm: kept('implant_diameter_mm', halfStep(diameter), 0.03),
    implant_length_mm: kept('implant_length_mm', halfStep(length), 0.03),
    cantilever_mm:
      kind.type === 'fixed_partial_cantilever' ? drawWhole(at('cantilever_mm'), 5, 10) : undefined,
    crown_height_mm: kept('crown_height_mm', drawNormal(at('crown_height_mm'), 10, 2, [5, 18], 1), 0.25),
    abutment_origin: kept('abutment_origin', drawAbutment(at('abutment_origin'), kind), 0.06),
    crown_material: kept('crown_material', drawCrownMaterial(at('crown_material'), kind.region), 0.02),
    screw_material: kind.screwless
      ? undefined
      : kept('screw_material', kind.system === 'system_1' ? 'gold_alloy' : 'titanium_alloy', 0.05),
    screw_coating: kind.screwless ? undefined : kept('screw_coating', coatingOfSystem[kind.system]!, 0.1),
    screw_channel_angle_deg: !screwRetained ? undefined : angled ? drawWhole(angle, 5, 25) : 0,
    opposing: kept('opposing', drawOpposing(at('opposing')), 0.03),
    seating_radiograph: kept(
      'seating_radiograph',
      happens(at('seating_radiograph'), radiographs) ? 'yes' : 'no',
      0.02,
    ),
    seating_jig: kept('seating_jig', happens(at('seating_jig'), 0.15) ? 'yes' : 'no', 0.3),
  }
}

function halfStep(millimetres: number): number {
  return Math.round(millimetres * 2) / 2
}

function drawCrownMaterial(random: RandomStream, region: SiteKind['region']): string {
  if (region === 'anterior') {
    return drawLabel(random, {
      veneered_zirconia: 45,
      metal_ceramic: 25,
      lithium_disilicate: 25,
      monolithic_zirconia: 5,
    })
  }
  return drawLabel(random, {
    metal_ceramic: 35,
    monolithic_zirconia: 45,
    veneered_zirconia: 14,
    lithium_disilicate: 4,
    resin_composite: 1,
    metal: 1,
  })
}

function drawAbutment(random: RandomStream, kind: SiteKind): string {
  if (kind.retention === 'cement') {
    return drawLabel(random, { stock_titanium: 60, milled_titanium: 30, zirconia: 10 })
  }
  return drawLabel(random, { titanium_base: 62, milled_titanium: 20, cast_gold: 12, zirconia: 4, other: 2 })
}

function drawOpposing(random: RandomStream): string {
  return drawLabel(random, { natural: 62, tooth_restoration: 20, implant_fixed: 11, removable: 5, none: 2 })
}
