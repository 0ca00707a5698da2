import { existsSync } from 'node:fs'
import { join } from 'node:path'
import fastifyStatic from '@fastify/static'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { sendNotFound } from './problem.ts'

/** The board is the first thing that the page asks for; nobody who is not signed in gets it. */
const BOARD_SOON = '</api/v1/board>; rel=preload; as=fetch; crossorigin'

/**
 * Serves the built board, and answers for every address that no route has: the board's own pages get index.html,
 * the rest a 404. Without a built board it says how to build one.
 */
export function addBoardFiles(app: FastifyInstance, boardDir: string): void {
  const isBuilt = existsSync(join(boardDir, 'index.html'))
  if (isBuilt) {
    app.register(fastifyStatic, {
      root: boardDir,
      serve: false,
      // The build puts each text beside itself as Brotli and gzip.
      preCompressed: true,
      dotfiles: 'ignore',
      cacheControl: false,
      setHeaders: (reply, path) => {
        // The build writes a hash into the names of its assets; the names of all else stay.
        const hashed = /[\\/]assets[\\/]/.test(path)
        void reply.header('cache-control', hashed ? 'public, max-age=31536000, immutable' : 'no-cache')
      },
    })
  }
  app.register(async (scope) => {
    scope.route({
      method: 'GET',
      url: '/*',
      config: { permission: 'anyone' },
      schema: { hide: true },
      handler: async (request, reply) => {
        if (isApi(request)) return reply.callNotFound()
        if (!isBuilt) return sendNotBuilt(reply)
        // A file has an ending; an address without one is a page of the board, which finds its own way from there.
        const path = decodeURIComponent((request.url.split('?')[0] ?? '/').slice(1))
        if (/\.[^/]*$/.test(path)) return reply.sendFile(path)
        if (request.caller) reply.header('link', BOARD_SOON)
        return reply.sendFile('index.html')
      },
    })
  })
  app.setNotFoundHandler((_, reply) =>
    sendNotFound(reply, 'path: nothing is served here; see /api/openapi.json for what is'),
  )
}

function isApi({ url }: FastifyRequest): boolean {
  return url.startsWith('/api/')
}

function sendNotBuilt(reply: FastifyReply): FastifyReply {
  return reply
    .code(503)
    .type('text/plain; charset=utf-8')
    .send('The board is not built: run npm run build.\n')
}
