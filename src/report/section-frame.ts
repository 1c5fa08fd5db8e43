/** Where a panel lies in the picture, px. */
export interface PanelFrame {
  readonly x: number;
  readonly y: number;
  readonly widthPx: number;
  readonly heightPx: number;
}

/** Words and where they stand, px. */
export interface PlacedText {
  readonly text: string;
  readonly x: number;
  readonly y: number;
}
