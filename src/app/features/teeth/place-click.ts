import type { Vec3 } from '../../../geometry/types.ts';
import { nextToothNumber } from '../../../teeth/number-clicks.ts';
import type { ToothNumber } from '../../../teeth/types.ts';
import type { AppState } from '../../kernel/app-context.ts';

/** A click that makes no pin is answered all the same. */
export const JAW_FIRST = 'The click was not taken: say first, under Teeth, which jaw the scan shows.';

/**
 * The surface was clicked: gum, the tooth that was chosen for the next click, or the number that follows.
 *
 * @param on - ISO number of the labels there, 0 = gum; null before the teeth are known
 */
export function placeClick(
  { clickHelp, controller, worksheet }: AppState,
  point: Vec3,
  on: ToothNumber | null = null,
): void {
  const { jaw, clicks, missing } = controller.inputs();
  if (jaw === null) {
    controller.tell(JAW_FIRST);
    return;
  }
  if (worksheet.mode() === 'click-gum') {
    controller.addClick({ tooth: 'gum', point });
    return;
  }
  if (worksheet.mode() !== 'click-tooth') return;
  const chosen = worksheet.nextTooth();
  if (chosen !== null) {
    controller.addClick({ tooth: chosen, point });
    worksheet.setNextTooth(null);
    return;
  }
  const proposed = clickHelp.toothAt(point);
  if (proposed !== null) {
    controller.addClick({ tooth: proposed, point });
    worksheet.setQuestion(null);
    return;
  }
  const guess = nextToothNumber(jaw, clicks, missing, point, on);
  if (!guess) {
    controller.tell(
      'Every number of this jaw is clicked or missing; choose the number above the list first.',
    );
    return;
  }
  const { tooth, question } = guess;
  const click = { tooth, point };
  controller.addClick(click);
  worksheet.setQuestion(question && { tooth, click, ...question });
}
