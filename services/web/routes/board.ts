import { z } from 'zod'
import { boardViewSchema, machineViewSchema, roomViewSchema } from '../../core/model/views.ts'
import { problemResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

/** All that the board shows, and its parts. */
export const boardRoutes: Routes = async (app, { monitor, records }) => {
  const config = { permission: 'seeBoard' } as const
  const tags = ['board']
  app.get(
    '/board',
    {
      config,
      schema: {
        operationId: 'readBoard',
        summary: 'All that the board shows; Last-Event-ID names the newest event that it knows of',
        tags,
        response: { 200: boardViewSchema, default: problemResponse },
      },
    },
    async (_request, reply) => {
      // Asked before the board: an event that comes in between is told once more instead of never.
      reply.header('last-event-id', String(records.lastEventId()))
      return monitor.board()
    },
  )
  app.get(
    '/machines',
    {
      config,
      schema: {
        operationId: 'listMachines',
        summary: 'The machines of the board',
        tags,
        response: { 200: z.array(machineViewSchema), default: problemResponse },
      },
    },
    async () => monitor.board().machines,
  )
  app.get(
    '/rooms',
    {
      config,
      schema: {
        operationId: 'listRooms',
        summary: 'The rooms of the board',
        tags,
        response: { 200: z.array(roomViewSchema), default: problemResponse },
      },
    },
    async () => monitor.board().rooms,
  )
}
