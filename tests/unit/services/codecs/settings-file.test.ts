import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseSettingsYaml, toSettingsYaml } from '../../../../services/codecs/settings-file.ts'
import { isKnownTimeZone } from '../../../../services/codecs/settings-check.ts'
import { settingsSchema } from '../../../../services/core/model/settings.ts'
import { testSettings } from '../../../parts/shop-settings.ts'

const faultsOf = (text: string): [number | null, string, string][] => {
  const outcome = parseSettingsYaml(text)
  return outcome.ok ? [] : outcome.errors.map((e) => [e.line, e.pointer, e.detail])
}

describe('the settings file', () => {
  it('FILE-1 what is written is read back unchanged, whatever stands in titles', () => {
    let odd = 0
    fc.assert(
      fc.property(fc.string({ minLength: 1, maxLength: 60, unit: 'binary' }), (text) => {
        const settings = settingsSchema.safeParse({
          ...testSettings(),
          site: { id: 'quayside', title: text },
        })
        if (!settings.success) return
        if (/[^\w ]/.test(text)) odd++
        expect(parseSettingsYaml(toSettingsYaml(settings.data))).toEqual({
          ok: true,
          settings: settings.data,
        })
      }),
      { numRuns: 100 },
    )
    expect(odd).toBeGreaterThan(20)
  })

  it('FILE-2 dates, times of day and words such as no stay texts', () => {
    const outcome = parseSettingsYaml(
      'site: {id: q, title: no}\nhours:\n  holidays: [2026-12-25]\n  weekly: [{weekday: 1, opens: 08:30, closes: 18:00}]\n',
    )
    expect(outcome).toMatchObject({
      ok: true,
      settings: { site: { title: 'no' }, hours: { holidays: ['2026-12-25'], weekly: [{ opens: '08:30' }] } },
    })
  })

  it('FILE-3 every fault comes with its line, its pointer and the cure', () => {
    const text =
      'site:\n  id: q\n  title: Q\n  timezone: UTC\nlimits:\n  airDryPct: {openBelow: 40}\nrooms:\n  - id: a b\n    title: A\n'
    expect(faultsOf(text)).toEqual([
      [4, '/site/timezone', 'line 4: timezone is not known here: check the spelling, or leave it out'],
      [8, '/rooms/0/id', 'line 8: use letters, digits, - _ and . only, beginning with a letter or digit'],
      [6, '/limits/airDryPct/closeAbove', 'line 6: is missing: give a number'],
      [6, '/limits/airDryPct/onDelayMs', 'line 6: is missing: give a number'],
      [6, '/limits/airDryPct/offDelayMs', 'line 6: is missing: give a number'],
    ])
  })

  it.each([
    ['a name given twice', 'site: {id: q, title: Q}\nsite: {id: r, title: R}\n', 2, 'stands twice'],
    ['a tag', 'site: !!js/function "x"\n', 1, 'tags (!name) cannot be used here'],
    ['two documents', 'site: {id: q, title: Q}\n---\nsite: {}\n', 2, 'keep one in the file'],
    ['an unclosed list', 'rooms: [1\n', 2, 'end with a ]'],
    ['an alias', 'a: &x [1]\nb: *x\n', null, 'aliases (*name) cannot be used here'],
    ['nothing at all', '', null, 'is missing: give an object'],
    ['a text', 'hello', null, 'must be an object, not a text'],
    ['a file too long', '#'.repeat(1_000_001), null, 'shorten it'],
    [
      'a zone that is none',
      'site: {id: q, title: Q, timeZone: Mars/Base}',
      1,
      'there is no time zone Mars/Base',
    ],
  ])('FILE-4 %s is refused with its cure', (_, text, line, cure) => {
    const [fault] = faultsOf(text)
    expect(fault?.[0]).toBe(line)
    expect(fault?.[2]).toContain(cure)
  })

  it('FILE-5 aliases within aliases are refused before they grow', () => {
    const levels = Array.from(
      { length: 30 },
      (_, i) => `l${i + 1}: &l${i + 1} [${`*l${i},`.repeat(9)}*l${i}]`,
    )
    expect(faultsOf(`l0: &l0 [x]\n${levels.join('\n')}\n`)[0]?.[2]).toContain('aliases')
  })

  it('FILE-6 a key named __proto__ changes nothing and is refused', () => {
    expect(faultsOf('site: {id: q, title: Q}\n__proto__: {polluted: 1}\n')[0]?.[1]).toBe('/__proto__')
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined()
  })

  it('FILE-7 no text whatever makes it throw', () => {
    let refused = 0
    fc.assert(
      fc.property(
        fc.oneof(fc.string({ unit: 'binary' }), fc.stringMatching(/^[\[\]{}:,&*!|>%@#'"\- \nab0]{0,60}$/)),
        (text) => {
          if (!parseSettingsYaml(text).ok) refused++
        },
      ),
      { numRuns: 1000 },
    )
    expect(refused).toBeGreaterThan(900)
  })

  it('ZONE-1 IANA names are known, offsets and inventions are not', () => {
    expect(['UTC', 'Europe/Brussels', 'America/Chicago', 'Asia/Kolkata'].every(isKnownTimeZone)).toBe(true)
    expect(['', 'Mars/Base', '+01:00', 'Europe/'].some(isKnownTimeZone)).toBe(false)
  })
})

describe('a file that is meant to hurt', () => {
  it('a name given twice among thirty thousand is found in one pass, and not by comparing each with each', () => {
    const names = Array.from({ length: 30_000 }, (_, n) => `k${n}: 1`)
    const outcome = parseSettingsYaml([...names, 'k7: 2'].join('\n'))
    expect(outcome).toMatchObject({ ok: false, errors: [{ line: 30_001 }] })
  })

  it('of many faults the first fifty are told', () => {
    const outcome = parseSettingsYaml('a: 1\n'.repeat(500))
    expect(!outcome.ok && outcome.errors).toHaveLength(50)
  })
})
