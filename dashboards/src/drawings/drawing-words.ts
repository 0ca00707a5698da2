import type { Picture } from '../../../services/core/model/closing.ts'

/** What each drawing shows, for those who hear it. */
export const DRAWING_WORDS: Readonly<Record<Picture, string>> = {
  swabWiper:
    'Drawing: the swab wipes the wiper blade, which stands up beside the head. The nozzle face under the head is crossed out: never touch it.',
  swabCap:
    'Drawing: the swab goes around the edge of the cap. The nozzle face under the head is crossed out: never touch it.',
  swabHead:
    'Drawing: the swab goes along the side of the head, above its lower edge. The nozzle face under the head is crossed out: never touch it.',
  home: 'Drawing: the carriage stands at the end of its way, and the head sits on its cap.',
  encoder:
    'Drawing: a lint-free wipe on the encoder strip, the thin ruled band along the way of the carriage.',
  pinchRoller: 'Drawing: the pinch rollers press the film onto the roller below.',
  rail: 'Drawing: the two rails on which the carriage runs.',
  tube: 'Drawing: the waste bottle, with the waste tube well inside its neck.',
}
