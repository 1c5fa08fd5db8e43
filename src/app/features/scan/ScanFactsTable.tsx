import type { ScanFacts } from '../../../../workers/analysis-api.ts';
import { formatCount } from '../../../scan/format-count.ts';
import { FORMAT_WORDS, fileSize } from '../../kernel/words.ts';

/** What the file is. */
export function ScanFactsTable(props: { readonly facts: ScanFacts }) {
  const source = () => props.facts.source;
  const health = () => props.facts.health;
  const size = () =>
    health()
      .sizeMm.map((length) => length.toFixed(1))
      .join(' × ');
  return (
    <dl class="facts">
      <dt>File</dt>
      <dd class="file-name">{source().fileName}</dd>
      <dt>Format</dt>
      <dd>
        {FORMAT_WORDS[source().format]}, {fileSize(source().byteLength)}
      </dd>
      <dt>Mesh</dt>
      <dd>
        {formatCount(health().triangles)} triangles, {formatCount(health().vertices)} vertices
      </dd>
      <dt>Size</dt>
      <dd>{size()} mm</dd>
      <dt>Edges</dt>
      <dd>{health().medianEdgeMm.toFixed(2)} mm (median)</dd>
      <dt>SHA-256</dt>
      <dd class="hash" title={source().sha256}>
        {source().sha256.slice(0, 16)} …
      </dd>
    </dl>
  );
}
