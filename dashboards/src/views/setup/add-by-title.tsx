import { useState } from 'preact/hooks'

/** One field and one button: adds a thing by the name people call it. */
export function AddByTitle({
  id,
  label,
  placeholder,
  button,
  add,
}: {
  id: string
  label: string
  placeholder: string
  button: string
  add: (title: string) => void
}) {
  const [title, setTitle] = useState('')
  const submit = (): void => {
    if (title.trim() === '') return
    add(title)
    setTitle('')
  }
  return (
    <div class="add-by-title">
      <label for={id}>{label}</label>
      <input
        id={id}
        maxLength={80}
        placeholder={placeholder}
        value={title}
        onInput={(event) => setTitle(event.currentTarget.value)}
        onKeyDown={(event) => {
          if (event.key !== 'Enter') return
          // Enter adds the thing; it must not save the whole form.
          event.preventDefault()
          submit()
        }}
      />
      <button type="button" class="plain strong" onClick={submit}>
        {button}
      </button>
    </div>
  )
}
