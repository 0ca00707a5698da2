import { existsSync } from 'node:fs'
import { join } from 'node:path'
import fastifyStatic from '@fastify/static'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { sendNotFound } from './problem.ts'

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
      dotfiles: 'ignore',
      cacheControl: false,
      setHeaders: (reply, path) => {
        // The build writes a hash into the names of its assets; the names of all else stay.
        const hashed = /[\\/]assets[\\/]/.test(path)
        void reply.header('cache-control', hashed ? 'public, max-age=31536000, immutable' : 'no-cache')
      },
    })
  }
  app.route({
    method: 'GET',
    url: '/*',
    config: { permission: 'anyone' },
    schema: { hide: true },
    handler: async (request, reply) => {
      if (isApi(request)) return reply.callNotFound()
      if (!isBuilt) return sendNotBuilt(reply)
      const path = request.url.split('?')[0] ?? '/'
      return reply.sendFile(path === '/' ? 'index.html' : decodeURIComponent(path.slice(1)))
    },
  })
  app.setNotFoundHandler((request, reply) => {
    const isPage =
      request.method === 'GET' && !isApi(request) && !/\.[^/]*$/.test(request.url.split('?')[0] ?? '')
    if (isPage && isBuilt) return reply.code(200).sendFile('index.html')
    return sendNotFound(reply, 'path: nothing is served here; see /api/openapi.json for what is')
  })
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
