import type { AppState } from '../../kernel/app-context.ts';
import { clickedTeeth, withErased, withStroke } from '../../kernel/case-inputs.ts';
import type { StrokePiece } from '../../kernel/display-types.ts';

/** The brush went over the surface: the points belong to what the brush is set to, or to what the stroke began on. */
export function paintPiece({ controller, worksheet }: AppState, piece: StrokePiece): void {
  if (worksheet.mode() !== 'paint' || controller.inputs().jaw === null) return;
  const brush = worksheet.brush();
  if (brush === 'erase') {
    controller.paint((inputs) => withErased(inputs, piece.points), piece.stroke);
    return;
  }
  const tooth = brush === 'begin' ? piece.beganOn || 'gum' : brush;
  if (piece.beganOn === null && brush === 'begin') return;
  // A tooth without a click of its own would begin at the rim of its crown.
  if (tooth !== 'gum' && !clickedTeeth(controller.inputs()).includes(tooth)) return;
  controller.paint(
    (inputs) =>
      withStroke(
        inputs,
        piece.points.map((point) => ({ tooth, point })),
      ),
    piece.stroke,
  );
}
