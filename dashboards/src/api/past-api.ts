import type { HistoryView } from '../../../services/core/model/history-view.ts'
import type { AskPast } from '../models/past-model.ts'
import type { Client } from './client.ts'

/** The call behind the page of the past. */
export function createAskPast({ ask }: Client): AskPast {
  return (query, signal) => ask<HistoryView>({ method: 'GET', path: `/api/v1/history?${query}`, signal })
}
