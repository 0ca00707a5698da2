import type { AccountStore } from '../core/model/ports/accounts.ts'
import type { SeriesSource } from '../core/model/ports/history.ts'
import type { Causes } from '../core/model/ports/causes.ts'
import type { LogFiles } from '../core/model/ports/log-files.ts'
import type { Monitor } from '../core/model/ports/monitor.ts'
import type { Reruns } from '../core/model/ports/reruns.ts'
import type { Telling } from '../core/model/ports/telling.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { Passwords } from './auth/passwords.ts'
import type { Sessions } from './auth/session.ts'
import type { SignInBackOff } from './auth/sign-in-back-off.ts'
import type { SignInCodes } from './auth/sign-in-codes.ts'
import type { EventStreams } from './event-stream.ts'
import type { Metrics } from './metrics.ts'
import type { SettingsChanges } from './settings-changes.ts'

export interface WebConfig {
  /** Names, with or without a port, that the board may be called by besides those of loopback. */
  readonly allowedHosts: readonly string[]
  /** The board is reached over https: cookies are sent over nothing else. */
  readonly secureCookies: boolean
  /** Addresses of proxies whose X-Forwarded-For is believed; none unless told. */
  readonly trustedProxies: readonly string[]
}

/** What routes are made of. */
export interface WebParts {
  readonly monitor: Monitor
  readonly records: RecordsReader
  readonly past: SeriesSource
  readonly telling: Telling
  readonly reruns: Reruns
  readonly causes: Causes
  readonly logFiles: LogFiles
  readonly accounts: AccountStore
  readonly config: WebConfig
  /** The wall clock, for people, sessions and codes. The monitor's own clock runs fast in a demo. */
  readonly nowMs: () => number
  readonly sessions: Sessions
  readonly signInCodes: SignInCodes
  readonly passwords: Passwords
  readonly backOff: SignInBackOff
  readonly streams: EventStreams
  readonly settingsChanges: SettingsChanges
  readonly metrics: Metrics
}
