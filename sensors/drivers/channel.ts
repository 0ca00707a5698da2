/** What one look at a channel gave: a value in the unit of its quantity, or what is wrong and the cure. */
export type ChannelReading =
  { readonly ok: true; readonly value: number | boolean } | { readonly ok: false; readonly fault: string }

/** A channel that can be read. Never throws and never rejects: what goes wrong is a fault of this channel alone. */
export interface Channel {
  readonly read: () => Promise<ChannelReading>
}

export function fault(text: string): ChannelReading {
  return { ok: false, fault: text }
}
