import { readFileSync } from 'node:fs'
import { createServer as createTcpServer, type Server, type Socket } from 'node:net'
import { createServer as createTlsServer } from 'node:tls'

/** A listening port could not be had, or its certificate not be read. */
export class MqttListenError extends Error {
  override readonly name = 'MqttListenError'
  readonly code = 'MQTT_LISTEN_FAILED'
}

export interface ServerParts {
  readonly host: string
  /** 0 takes any free port. */
  readonly port: number
  readonly tls: { readonly certFile: string; readonly keyFile: string } | null
  readonly maxConnections: number
  readonly onSocket: (socket: Socket) => void
  readonly onHandshakeFailed: (error: Error) => void
}

export interface OpenServer {
  readonly port: number
  /** Takes no more connections; resolves once all are gone. */
  readonly close: () => Promise<void>
}

/** Half-open connections of clients that asked for no keep-alive are found by TCP after this long. */
const TCP_KEEPALIVE_MS = 60_000

/** @throws {MqttListenError} with the cure. */
export async function openServer(parts: ServerParts): Promise<OpenServer> {
  const { host, port, maxConnections, onSocket } = parts
  const accept = (socket: Socket): void => {
    socket.setNoDelay(true)
    socket.setKeepAlive(true, TCP_KEEPALIVE_MS)
    onSocket(socket)
  }
  const server = parts.tls ? tlsServer(parts.tls, accept, parts.onHandshakeFailed) : createTcpServer(accept)
  server.maxConnections = maxConnections
  // After a power cut all nodes come at once: whom the system cannot let wait tries again ever later, up to minutes.
  await listening(server, { host, port, backlog: maxConnections })
  const address = server.address()
  return {
    port: typeof address === 'object' && address ? address.port : port,
    close: () => new Promise((resolve) => server.close(() => resolve())),
  }
}

function tlsServer(
  files: { certFile: string; keyFile: string },
  accept: (socket: Socket) => void,
  failed: (error: Error) => void,
): Server {
  const server = createTlsServer(
    { cert: readPem(files.certFile), key: readPem(files.keyFile), minVersion: 'TLSv1.2' },
    accept,
  )
  server.on('tlsClientError', failed)
  return server
}

function readPem(file: string): Buffer {
  try {
    return readFileSync(file)
  } catch (cause) {
    throw new MqttListenError(`cannot read ${file}: give a PEM file that Nightcap may read`, { cause })
  }
}

function listening(
  server: Server,
  { host, port, backlog }: { host: string; port: number; backlog: number },
): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => {
      const cure =
        cause.code === 'EADDRINUSE'
          ? 'another program has this port: stop it or choose another port'
          : 'check host and port'
      reject(
        new MqttListenError(
          `MQTT cannot listen at ${host}:${port} (${cause.code ?? cause.message}): ${cure}`,
          { cause },
        ),
      )
    })
    server.listen({ port, host, backlog }, resolve)
  })
}
