import type { Alarm } from '../core/model/alarm.ts'

/** What the page says and asks. */
export interface ReplyPage {
  readonly title: string
  readonly lines: readonly string[]
  /** What can be answered, or nothing. */
  readonly asks: 'alarm' | 'test' | 'nothing'
}

export const REPLY_STYLE = `body{font:1.125rem/1.5 system-ui,sans-serif;margin:0;padding:1.5rem;max-width:34rem;color:#1c1b19;background:#faf9f6}
h1{font-size:1.5rem;line-height:1.25}
form{margin:0 0 1rem}
button{font:inherit;width:100%;min-height:4rem;border:2px solid #1c1b19;background:#faf9f6;color:#1c1b19;border-radius:.25rem}
button.first{background:#1c1b19;color:#faf9f6;font-weight:600}
@media (prefers-color-scheme:dark){body{color:#f0eee9;background:#1c1b19}button{border-color:#f0eee9;background:#1c1b19;color:#f0eee9}button.first{background:#f0eee9;color:#1c1b19}}
`

/** Plain HTML without a script. Its forms go to the address it stands at. */
export function replyPageHtml({ title, lines, asks }: ReplyPage): string {
  const body = [
    `<h1>${escaped(title)}</h1>`,
    ...lines.map((line) => `<p>${escaped(line)}</p>`),
    ...(asks === 'alarm' ? [form('acknowledge', "I'm on it"), ...[15, 30, 60].map(snoozeForm)] : []),
    ...(asks === 'test' ? [form('received', 'It arrived')] : []),
  ]
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex">
<title>${escaped(title)}</title>
<link rel="stylesheet" href="/r/look.css">
</head>
<body>
<main>
${body.join('\n')}
</main>
</body>
</html>
`
}

function form(answer: string, text: string): string {
  return `<form method="post"><input type="hidden" name="answer" value="${answer}"><button class="first">${escaped(text)}</button></form>`
}

function snoozeForm(minutes: number): string {
  return `<form method="post"><input type="hidden" name="answer" value="snooze"><input type="hidden" name="minutes" value="${minutes}"><button>Ask me again in ${minutes} minutes</button></form>`
}

/** How an alarm stands, for whoever follows a link to it. */
export function alarmPage(alarm: Alarm | null): ReplyPage {
  if (!alarm || alarm.state === 'normal' || alarm.state === 'returnedUnacknowledged') {
    return {
      title: alarm?.title ?? 'This is over',
      lines: ['It is over. Nothing is asked of you; the board tells what happened.'],
      asks: 'nothing',
    }
  }
  const lines = [alarm.cause, alarm.consequence, alarm.action, alarm.timeToAct]
  if (alarm.state === 'acknowledged')
    return { title: alarm.title, lines: ['Somebody is on it.', ...lines], asks: 'nothing' }
  if (alarm.state === 'unacknowledged')
    return { title: alarm.title, lines: ['Nobody is on it yet.', ...lines], asks: 'alarm' }
  return {
    title: alarm.title,
    lines: ['It is set aside for now: the page Alarms says why.', ...lines],
    asks: 'nothing',
  }
}

export const UNKNOWN_LINK: ReplyPage = {
  title: 'This link does not work',
  lines: [
    'It is not complete, or not ours. Open the message again and follow its link, or sign in on the board.',
  ],
  asks: 'nothing',
}
export const EXPIRED_LINK: ReplyPage = {
  title: 'This link is too old',
  lines: ['A link holds for a day. Sign in on the board to see how things are and to answer there.'],
  asks: 'nothing',
}
export const TEST_PAGE: ReplyPage = {
  title: 'A test from your shop',
  lines: ['Press the button, and your shop knows that your answers reach it.'],
  asks: 'test',
}

function escaped(text: string): string {
  const names: Readonly<Record<string, string>> = {
    '&': '&amp;',
    '<': '&lt;',
    '>': '&gt;',
    '"': '&quot;',
    "'": '&#39;',
  }
  return text.replace(/[&<>"']/g, (c) => names[c] ?? c)
}
