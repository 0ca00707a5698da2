import swagger from '@fastify/swagger'
import type { FastifyInstance } from 'fastify'
import { jsonSchemaTransform } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { problemResponse } from './problem.ts'
import type { Routes } from './routes/routes.ts'

/** Describes every route that follows as OpenAPI 3.1. */
export function addOpenApi(app: FastifyInstance): void {
  app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Nightcap',
        version: '1',
        description: 'Watches over print heads while nobody is looking',
      },
      components: {
        securitySchemes: {
          session: { type: 'apiKey', in: 'cookie', name: 'nightcap_session' },
          program: { type: 'http', scheme: 'bearer' },
        },
      },
      security: [{ session: [] }, { program: [] }],
    },
    transform: jsonSchemaTransform,
  })
}

/** The description itself. */
export const openApiRoutes: Routes = async (app) => {
  app.get(
    '/openapi.json',
    {
      config: { permission: 'anyone' },
      schema: {
        operationId: 'readOpenApi',
        summary: 'This description',
        tags: ['own health'],
        security: [],
        response: { 200: z.record(z.string(), z.unknown()), default: problemResponse },
      },
    },
    async () => ({ ...app.swagger() }),
  )
}
