import { useState } from 'preact/hooks'
import { NozzlePattern } from './nozzle-pattern.tsx'

/** What was found in one channel group, as it is being said. */
export interface Found {
  readonly digits: string
  readonly places: readonly number[]
}
export type FoundById = Readonly<Record<string, Found>>
interface Group {
  readonly id: string
  readonly title: string
}

const NOTHING: Found = { digits: '', places: [] }
const MOST_DIGITS = 5
const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', 'Back', '0'] as const

interface GroupCountsProps {
  readonly groups: readonly Group[]
  readonly found: FoundById
  readonly change: (id: string, found: Found) => void
}

/** How many nozzles are missing in each channel group: typed, by big keys, or marked on a drawing of the pattern. */
export function GroupCounts({ groups, found, change }: GroupCountsProps) {
  const [open, setOpen] = useState<string | null>(null)
  return (
    <>
      {groups.map((group) => {
        const own = found[group.id] ?? NOTHING
        const isOpen = open === group.id
        return (
          <div key={group.id} class="check-group">
            <label class="check-count">
              {group.title}
              <input
                type="text"
                inputMode="numeric"
                pattern="[0-9]*"
                maxLength={MOST_DIGITS}
                value={own.digits}
                onInput={({ currentTarget }) => {
                  const digits = currentTarget.value.replace(/\D/g, '')
                  currentTarget.value = digits
                  change(group.id, { ...own, digits })
                }}
              />
            </label>
            <button
              type="button"
              class="plain"
              aria-expanded={isOpen}
              onClick={() => setOpen(isOpen ? null : group.id)}
            >
              Keys and pattern
              <span class="only-read">{` of ${group.title}`}</span>
            </button>
            {isOpen && (
              <>
                <Keypad title={group.title} found={own} change={(next) => change(group.id, next)} />
                <NozzlePattern
                  title={group.title}
                  places={own.places}
                  toggle={(place) => change(group.id, toggled(own, place))}
                />
                <p class="hint">Touch a line to make it a gap: about where, as your own pattern shows it.</p>
              </>
            )}
          </div>
        )
      })}
    </>
  )
}

function Keypad({ title, found, change }: { title: string; found: Found; change: (found: Found) => void }) {
  const press = (key: (typeof KEYS)[number]): void => {
    const { digits } = found
    const next = key === 'Back' ? digits.slice(0, -1) : `${digits === '0' ? '' : digits}${key}`
    change({ ...found, digits: next.slice(0, MOST_DIGITS) })
  }
  return (
    <div class="keypad" role="group" aria-label={`Keys for ${title}`}>
      {KEYS.map((key) => (
        <button key={key} type="button" class="plain" onClick={() => press(key)}>
          {key}
        </button>
      ))}
    </div>
  )
}

/** A mark counts a nozzle, unless more are counted than marked. */
function toggled({ digits, places }: Found, place: number): Found {
  const isMarked = places.includes(place)
  const next = isMarked ? places.filter((p) => p !== place) : [...places, place]
  const isCounted = Number(digits) > places.length
  const count = isCounted ? Number(digits) : next.length
  return { digits: count === 0 ? '' : String(count), places: next }
}

/** What is missing, as it is sent: never fewer than are marked. */
export function missingOf(found: FoundById) {
  return Object.entries(found)
    .map(([channelGroupId, { digits, places }]) => ({
      channelGroupId,
      missingNozzles: Math.max(Number(digits), places.length),
      ...(places.length === 0 ? {} : { places: [...places].sort((a, b) => a - b) }),
    }))
    .filter(({ missingNozzles }) => missingNozzles > 0)
}

/** What an entry said, to be changed. */
export function foundOf(
  missing: readonly {
    readonly channelGroupId: string
    readonly missingNozzles: number
    readonly places?: number[] | undefined
  }[],
): FoundById {
  return Object.fromEntries(
    missing.map((m) => [m.channelGroupId, { digits: String(m.missingNozzles), places: m.places ?? [] }]),
  )
}
