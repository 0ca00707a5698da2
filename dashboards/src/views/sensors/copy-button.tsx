import { useState } from 'preact/hooks'

/** Browsers give the clipboard to secure pages alone; elsewhere the text can be marked by hand. */
export function CopyButton({ text, label }: { text: string; label: string }) {
  const [isCopied, setCopied] = useState(false)
  if (!window.isSecureContext) return null
  const copy = async (): Promise<void> => {
    await navigator.clipboard.writeText(text)
    setCopied(true)
  }
  return (
    <button type="button" class="plain strong" onClick={() => void copy()}>
      {isCopied ? 'Copied' : label}
    </button>
  )
}
