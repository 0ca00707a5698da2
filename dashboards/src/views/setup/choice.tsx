/** Yes or no, the words beside the box. */
export function Choice({
  label,
  value,
  readOnly,
  set,
}: {
  label: string
  value: boolean
  readOnly: boolean
  set: (value: boolean) => void
}) {
  return (
    <label class="choice">
      <input
        type="checkbox"
        checked={value}
        disabled={readOnly}
        onChange={(event) => set(event.currentTarget.checked)}
      />
      {label}
    </label>
  )
}
