import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import type { WebParts } from '../web-parts.ts'

/** The routes of one noun. */
export type Routes = FastifyPluginAsyncZod<WebParts>
