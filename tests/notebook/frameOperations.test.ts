import type { DataFrame } from 'danfojs-node'
import { describe, expect, it } from 'vitest'
import { fromFrame, toFrame } from '../../src/notebook/frames.js'

const crowns = [
  { crown: 'R1', connection: 'conical', torqueNcm: 35, loose: 0 },
  { crown: 'R2', connection: 'conical', torqueNcm: 30, loose: 1 },
  { crown: 'R3', connection: 'external_hex', torqueNcm: 25, loose: 1 },
  { crown: 'R4', connection: 'external_hex', torqueNcm: 32, loose: 0 },
]

// danfojs is installed without TensorFlow (packages/tensors-refused): what the docs and notebooks use works without it.
describe('operations of data frames that work without tensors', () => {
  it('choose columns and rows', async () => {
    const frame = await toFrame<DataFrame>(crowns)
    expect(frame.column('torqueNcm').values).toEqual([35, 30, 25, 32])
    const low = frame.query(frame.column('torqueNcm').lt(32))
    expect(fromFrame(low).map(({ crown }) => crown)).toEqual(['R2', 'R3'])
    expect(fromFrame(frame.loc({ columns: ['crown', 'loose'] }))[0]).toEqual({ crown: 'R1', loose: 0 })
    expect(fromFrame(frame.head(2))).toHaveLength(2)
    expect(fromFrame(frame.tail(1))[0]!.crown).toBe('R4')
  })

  it('take what is missing for no number, so that it satisfies no comparison', async () => {
    const frame = await toFrame<DataFrame>([
      { crown: 'R1', torqueNcm: null, never: null },
      { crown: 'R2', torqueNcm: 25, never: null },
    ])
    expect(fromFrame(frame.query(frame.column('torqueNcm').lt(30))).map(({ crown }) => crown)).toEqual(['R2'])
    expect(frame.query(frame.column('never').lt(30)).shape[0]).toBe(0)
    expect(fromFrame(frame).map(({ never }) => never)).toEqual([null, null])
    frame.addColumn('off', frame.column('torqueNcm').sub(35), { inplace: true })
    expect(fromFrame(frame).map(({ off }) => off)).toEqual([null, -10])
  })

  it('group, sort, join and add columns', async () => {
    const frame = await toFrame<DataFrame>(crowns)
    const means = fromFrame(frame.groupby(['connection']).col(['torqueNcm']).mean())
    expect(means.map((row) => row.torqueNcm_mean)).toEqual([32.5, 28.5])
    const counted = fromFrame(frame.groupby(['connection']).col(['loose']).sum())
    expect(counted.map((row) => row.loose_sum)).toEqual([1, 1])
    const sorted = frame.sortValues('torqueNcm') as DataFrame
    expect(fromFrame(sorted).map(({ crown }) => crown)).toEqual(['R3', 'R2', 'R4', 'R1'])
    frame.addColumn('short', [0, 1, 1, 0], { inplace: true })
    expect(fromFrame(frame)[1]).toMatchObject({ crown: 'R2', short: 1 })
    const { merge } = await import('danfojs-node')
    const names = await toFrame<DataFrame>([{ connection: 'conical', label: 'cone' }])
    const joined = merge({
      left: await toFrame<DataFrame>(crowns),
      right: names,
      on: ['connection'],
      how: 'inner',
    })
    expect(fromFrame(joined).map(({ label }) => label)).toEqual(['cone', 'cone'])
  })

  it('describe numbers and count values', async () => {
    const frame = await toFrame<DataFrame>(crowns)
    const described = frame.loc({ columns: ['torqueNcm', 'loose'] }).describe() as DataFrame
    expect(described.columns).toContain('torqueNcm')
    expect(frame.column('connection').valueCounts().values).toEqual([2, 2])
    expect(frame.column('torqueNcm').mean()).toBe(30.5)
  })

  it('say plainly what is refused', async () => {
    const frame = await toFrame<DataFrame>([{ a: 1 }, { a: 2 }])
    expect(() => frame.tensor).toThrow(
      'Data frames are installed without tensors, so tf.tensor2d cannot be used.',
    )
    const { StandardScaler } = await import('danfojs-node')
    expect(() => new StandardScaler().fit([1, 2, 3])).toThrow('Data frames are installed without tensors')
  })
})
