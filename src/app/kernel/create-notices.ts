import { type Accessor, createSignal } from 'solid-js';

/** `failed`: something that was wanted did not come about; it looks as every refusal does. */
export interface Notice {
  readonly kind: 'told' | 'failed';
  readonly sentence: string;
}

/** What is said on the page about a case as a whole. */
export interface Notices {
  /** One sentence about the open case, over when a scan comes or another sentence is said; null = nothing to say. */
  readonly notice: Accessor<Notice | null>;
  readonly tell: (sentence: string, kind?: Notice['kind']) => void;
  readonly dismissNotice: () => void;
  /**
   * Failures that concern a case other than the open one, the oldest first: whatever is opened or said meanwhile, they
   * stay until they are dismissed.
   */
  readonly lasting: Accessor<readonly string[]>;
  /** Says one of these; said once more it is not said twice. */
  readonly tellLasting: (sentence: string) => void;
  readonly dismissLasting: (sentence: string) => void;
}

export function createNotices(): Notices {
  const [notice, setNotice] = createSignal<Notice | null>(null);
  const [lasting, setLasting] = createSignal<readonly string[]>([]);
  const without = (sentence: string) => lasting().filter((one) => one !== sentence);
  return {
    notice,
    tell: (sentence, kind = 'told') => void setNotice({ kind, sentence }),
    dismissNotice: () => void setNotice(null),
    lasting,
    tellLasting: (sentence) => void setLasting([...without(sentence), sentence]),
    dismissLasting: (sentence) => void setLasting(without(sentence)),
  };
}
