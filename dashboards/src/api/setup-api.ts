import type { PowerBands } from '../../../services/core/model/learned/power-bands.ts'
import type { WayIn } from '../../../services/core/model/ports/monitor.ts'
import type { Machine } from '../../../services/core/model/settings.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'
import type { ChangeNotes } from './shop-api.ts'

export interface Difference {
  readonly path: string
  readonly text: string
}
export interface Stamp {
  readonly atMs: number
  readonly by: string | null
  readonly via: string
  readonly why: string | null
}
export interface RecordedChange extends Stamp {
  readonly seq: number
  readonly differences: readonly Difference[]
}
export interface LimitView {
  readonly path: string
  readonly group: string
  readonly label: string
  readonly meaning: string
  readonly unit: string
  readonly factor: number
  readonly value: number
  readonly startingValue: number | null
  readonly set: Stamp | null
  /** A re-run can try another value of it on the past. */
  readonly isTriable: boolean
}
export interface PowerPicture {
  readonly fromMs: number
  readonly toMs: number
  readonly columns: readonly { readonly fromW: number; readonly toW: number; readonly minutes: number }[]
  readonly inForce: {
    readonly meterId: string | null
    readonly from: 'learned' | 'told' | 'startingValues'
    readonly offBelowW: number
    readonly standbyTopW: number | null
    readonly cleaningW: readonly [number, number] | null
    readonly printingW: readonly [number, number] | null
  }
  readonly learned: PowerBands | null
  readonly waiting: PowerBands | null
  readonly told: NonNullable<Machine['powerBandsW']> | null
}
export type NodeWayIn = WayIn & { readonly site: string }

/** The calls that only the pages of the set-up make. */
export interface SetupApi {
  readonly preview: (yaml: string) => Promise<Answer<{ version: string; differences: Difference[] }>>
  readonly applyFile: (yaml: string, notes: ChangeNotes) => Promise<Answer<unknown>>
  readonly changes: () => Promise<Answer<{ changes: RecordedChange[] }>>
  readonly limits: () => Promise<Answer<{ limits: LimitView[] }>>
  readonly power: (machineId: string) => Promise<Answer<PowerPicture>>
  readonly acceptBands: (machineId: string) => Promise<Answer<unknown>>
  readonly wayIn: () => Promise<Answer<NodeWayIn>>
  readonly removeNode: (id: string) => Promise<Answer<unknown>>
  readonly replaceSensor: (ids: { oldId: string; newId: string }) => Promise<Answer<unknown>>
}

const V1 = '/api/v1'
const part = encodeURIComponent

export function createSetupApi({ ask }: Pick<Client, 'ask'>): SetupApi {
  const get = <T>(path: string) => ask<T>({ method: 'GET', path: V1 + path })
  return {
    preview: (body) => ask({ method: 'POST', path: `${V1}/settings/preview`, body, yaml: true }),
    applyFile: (body, { ifMatch, why = '' }) =>
      ask({
        method: 'PUT',
        path: `${V1}/settings${why.trim() === '' ? '' : `?why=${part(why.trim())}`}`,
        body,
        yaml: true,
        ifMatch,
      }),
    changes: () => get('/settings/changes'),
    limits: () => get('/settings/limits'),
    power: (id) => get(`/machines/${part(id)}/power`),
    acceptBands: (id) =>
      ask({ method: 'POST', path: `${V1}/learned/${part(`powerBands|${id}`)}/acceptance`, body: {} }),
    wayIn: () => get('/nodes/way-in'),
    removeNode: (id) => ask({ method: 'DELETE', path: `${V1}/nodes/${part(id)}` }),
    replaceSensor: (body) => ask({ method: 'POST', path: `${V1}/sensors/replacement`, body }),
  }
}
