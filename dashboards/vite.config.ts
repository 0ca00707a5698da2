import { defineConfig } from 'vite'
import { compressedFiles } from './compressed-files.ts'
import { serviceWorker } from './worker-build.ts'

const root = decodeURIComponent(new URL('.', import.meta.url).pathname)

/** No inline script or style may come out of this build: the server's content security policy refuses both. */
export default defineConfig({
  root,
  plugins: [serviceWorker(root), compressedFiles()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../.build/board',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
})
