/**
 * The stylesheet of the record: paper and ink, one accent, tabular figures. Shared by screen and print; the print
 * part leaves the paper size to the printer, so that A4 and Letter both come out whole.
 */
export const REPORT_STYLE = `
:root{--ground:#fbfaf7;--ink:#1d2327;--quiet:#59636a;--rule:#dcd7ca;--soft:#f2efe7;--accent:#0d5c63;--accent-soft:#e0ecea;--tint-a:#ebe5d6;--tint-b:#dfe6e2;--gum:#e9cfc4;--gum-line:#a56f60;--alert:#8a4408;--alert-soft:#f8e6d0}
*{box-sizing:border-box}
html{background:var(--ground);color:var(--ink);font:14px/1.5 system-ui,"Segoe UI",Roboto,"Helvetica Neue","Noto Sans","Liberation Sans",sans-serif;font-variant-numeric:tabular-nums lining-nums;-webkit-text-size-adjust:100%}
body{margin:0 auto;max-width:860px;padding:40px 28px 56px}
h1,h2,h3,p,ul,ol,dl,dd,figure,table{margin:0}
h2{font-size:17px;font-weight:650;letter-spacing:-.005em;margin:0 0 12px;padding-top:14px;border-top:2px solid var(--ink)}
h3{font-size:13.5px;font-weight:650}
section{margin-top:34px}
.nb{white-space:nowrap}
.answer-line{font-weight:650;font-size:15px;margin-bottom:6px}
.top{display:flex;justify-content:space-between;gap:24px;font-size:12.5px;color:var(--quiet);border-bottom:1px solid var(--rule);padding-bottom:9px}
.top b{color:var(--accent);font-weight:700;letter-spacing:.02em}
.answer{margin-top:26px}
h1{font-size:27px;line-height:1.22;font-weight:620;letter-spacing:-.018em;max-width:30em;text-wrap:balance}
.answer .second{font-size:18px;line-height:1.35;margin-top:8px;color:var(--accent);font-weight:600}
.answer ul{list-style:none;padding:0;margin-top:14px;color:var(--quiet);font-size:13.5px;max-width:60em}
.answer li+li{margin-top:3px}
.pair{display:grid;grid-template-columns:minmax(0,1.05fr) minmax(0,1fr);gap:30px;align-items:center;margin-top:22px}
.facts{font-size:12.5px;display:grid;grid-template-columns:max-content minmax(0,1fr);gap:6px 14px}
.facts dt{color:var(--quiet)}
.facts dd{overflow-wrap:anywhere}
.hash{font:11px/1.45 ui-monospace,"SF Mono",Menlo,Consolas,"DejaVu Sans Mono",monospace}
table{border-collapse:collapse;width:100%;font-size:12.5px}
caption{text-align:left;color:var(--quiet);font-size:12.5px;padding-bottom:8px}
th{font-weight:600;text-align:right;vertical-align:bottom;padding:4px 7px;border-bottom:1px solid var(--ink);line-height:1.3;font-size:11.5px}
td{text-align:right;padding:5px 7px;border-bottom:1px solid var(--rule);vertical-align:baseline}
th:first-child,td:first-child,.l{text-align:left}
.num{white-space:nowrap}
.contacts td:first-child{font-weight:650;white-space:nowrap}
.word{white-space:nowrap;text-align:left}
.word svg{width:12px;height:12px;vertical-align:-1.5px;margin-right:6px}
.remark{text-align:left;color:var(--quiet);font-size:11.5px;line-height:1.35}
.by-hand{min-width:64px}
tr.is-open td{background:var(--accent-soft)}
.changes td{vertical-align:top}.changes .became{text-align:left;width:34%}.changes td .remark{display:block}
.sizes table{font-size:10.5px}
.sizes th,.sizes td{padding:3px 4px}
.indices{margin-top:14px}
.indices td:first-child,.indices td:nth-child(2){white-space:nowrap}
.legend{display:flex;flex-wrap:wrap;gap:4px 20px;font-size:11.5px;color:var(--quiet);margin-top:6px}
.legend svg{width:13px;height:13px;vertical-align:-2px;margin-right:6px}
.cut{display:grid;grid-template-columns:minmax(0,1fr) 222px;gap:24px;padding:16px 0;border-bottom:1px solid var(--rule);align-items:start}
.cut:first-of-type{padding-top:4px}
.cut h3{font-size:15px}
.cut .big{font-size:23px;font-weight:620;letter-spacing:-.015em;line-height:1.2;margin:2px 0 8px;white-space:nowrap}
.cut .big small{font-size:14px;font-weight:500;letter-spacing:0;color:var(--quiet)}
.cut dl{display:grid;grid-template-columns:1fr max-content;gap:0 12px;font-size:12px}
.cut dt{color:var(--quiet)}
.cut dd{text-align:right}
.cut .note{font-size:11.5px;color:var(--quiet);margin-top:7px}
.with-walls{grid-template-columns:minmax(0,1fr) 250px}
.walls{grid-column:1/-1;display:grid;grid-template-columns:minmax(0,240px) minmax(0,240px) minmax(0,1fr);gap:20px;align-items:start}
.wall svg.cm{max-height:260px;border:1px solid var(--rule);border-radius:8px;background:#fffefb}
.wall p,.wall-legend{font-size:11.5px;color:var(--quiet)}.wall p{margin-top:4px}
.wall-legend ul{list-style:none;padding:0;margin:4px 0 0}.wall-legend li{display:flex;align-items:center;gap:7px}
.wall-legend svg{width:12px;height:12px;flex:none}
.cm-crown{fill:var(--tint-a);stroke:#8d8a7e;stroke-width:1.2}
.cm-band{stroke-width:.5}.cm-band-0{fill:#00224e;stroke:#00224e}.cm-band-1{fill:#575d6d;stroke:#575d6d}.cm-band-2{fill:#a59c74;stroke:#a59c74}.cm-band-3{fill:#f2e6a0;stroke:#f2e6a0}
.cm-place{fill:none;stroke:#c2410c;stroke-width:1.8}.cm-scale{fill:none;stroke:var(--quiet);stroke-width:1.2}
.cm text.cm-text{fill:var(--quiet);font-size:11px}
.budget{margin-top:9px;font-size:11.5px}
.budget summary{color:var(--quiet)}
.budget div{display:grid;grid-template-columns:70px 1fr 44px;gap:8px;align-items:center}
.budget svg{width:100%;height:7px;display:block}
.budget span:last-child{text-align:right}
.spans{font-size:11.5px}
.spans th,.spans td{padding:4px 3px;text-align:center}
.spans th:first-child,.spans td:first-child{text-align:left;white-space:nowrap;padding-left:8px}
.spans th.col{font-weight:600;line-height:1.15;min-width:34px}
.spans td.in{background:var(--soft)}
.spans td.zero{color:#6f777b}
.spans td.left{font-weight:650}
.spans td.opened{background:var(--alert-soft);color:var(--alert);font-weight:700}
.spans tr.chosen td{border-top:2px solid var(--accent);border-bottom:2px solid var(--accent)}
.spans tr.chosen td:first-child{border-left:2px solid var(--accent);font-weight:700;color:var(--accent)}
.spans tr.chosen td:last-child{border-right:2px solid var(--accent)}
.spans td.verdict{text-align:left;white-space:nowrap;padding-left:8px}
.spans i{font-style:normal;font-size:.72em;vertical-align:.1em;margin-right:1px}
.spans td.opened,.spans td.widened{white-space:nowrap}
.spans td.widened{color:var(--alert)}
.moves{margin-top:20px}
.effects{display:grid;grid-template-columns:repeat(6,1fr);gap:0 14px;margin:6px 0 14px;border-top:1px solid var(--ink)}
.effects div{padding-top:6px}
.effects dt{font-size:11px;color:var(--quiet)}
.effects dd{font-size:16px;font-weight:600}
.moves + .remark,.scroll + .remark{margin-top:18px}
.spans tr.before td{border-bottom:1px solid var(--ink);color:var(--quiet)}
.reasons{padding-left:1.15em;margin:0 0 14px;max-width:62em}
.reasons li{margin-top:3px}
.shorter{columns:2;column-gap:28px;font-size:12px;color:var(--quiet);margin-top:-4px}
.shorter li{break-inside:avoid}
.rule-of-thumb{border-left:3px solid var(--rule);padding:2px 0 2px 12px;color:var(--quiet);margin:0 0 16px;max-width:60em}
.remark + .rule-of-thumb{margin-top:12px}
.letter{white-space:pre-wrap;overflow-wrap:anywhere;font:inherit;font-size:13px;background:var(--soft);border:1px solid var(--rule);border-radius:8px;padding:16px 18px;margin:0}
.cautions{padding-left:1.15em;max-width:62em}
.cautions li{margin-top:4px}
.foot{margin-top:34px;border-top:1px solid var(--rule);padding-top:10px;font-size:11.5px;color:var(--quiet)}
.foot p+p{margin-top:4px}
.sign{display:grid;grid-template-columns:1fr 1fr;gap:40px;margin-top:38px;font-size:11.5px;color:var(--quiet)}
.sign span{border-top:1px solid var(--ink);padding-top:4px}
svg{display:block;width:100%;height:auto;overflow:hidden}
.cp{overflow:visible}
.word svg,.legend svg{display:inline-block;flex:none}
svg text{font-family:inherit;fill:var(--ink);font-size:11px}
.cp-grid{stroke:var(--rule);stroke-width:1}.cp-zero{stroke:var(--ink)}
.cp text.cp-tick,.cp text.cp-title,.cp text.cp-side{fill:var(--quiet);font-size:10.5px}
.cp-midline{stroke:var(--rule);stroke-dasharray:1 4;stroke-width:1.5;stroke-linecap:round}
.cp-limit{stroke:var(--accent);stroke-width:1.25;stroke-dasharray:6 4}
.cp text.cp-limit-label{fill:var(--accent);font-size:10.5px;font-weight:600;paint-order:stroke;stroke:var(--ground);stroke-width:4px;stroke-linejoin:round}
.cp-whisker{fill:none;stroke:var(--ink);stroke-width:1.4}
.cp-symbol{stroke:var(--ink);stroke-width:1.6;stroke-linejoin:round}
.cp-filled{fill:var(--ink)}.cp-hollow{fill:var(--ground)}
.cp-open .cp-symbol{fill:var(--accent);stroke:var(--accent)}.cp-open .cp-whisker{stroke:var(--accent)}
.cp-open .cp-hollow{fill:var(--ground)}
.cp-missing-tooth .cp-symbol,.cp-not-measurable .cp-symbol{stroke:var(--quiet);fill:none}
.cp-band{fill:#fff;fill-opacity:.55;stroke:var(--quiet);stroke-width:.8}
.cp-now{fill:var(--quiet);fill-opacity:.35}
.cp-hatch{stroke:var(--quiet);stroke-width:.8;fill:none}
.cp-not-measurable .cp-band{stroke-dasharray:2 2}.cp-not-measurable .cp-hatch{display:none}
.cp-cap{stroke:var(--quiet);stroke-width:1.6}
.cp text.cp-value{font-size:10.5px;fill:var(--quiet);paint-order:stroke;stroke:var(--ground);stroke-width:3px;stroke-linejoin:round}
.cp .cp-open text.cp-value{font-size:12.5px;font-weight:700;fill:var(--accent)}
.cp .cp-undecided text.cp-value,.cp .cp-overlap text.cp-value{font-size:11.5px;font-weight:650;fill:var(--ink)}
.cp text.cp-status{font-size:inherit;fill:var(--quiet)}
.cp .cp-open text.cp-status{fill:var(--accent);font-weight:700}
.cp .cp-undecided text.cp-status{fill:var(--ink);font-weight:600}
.cp-tooth{fill:var(--tint-a);stroke:none}.cp-tooth-missing{fill:none;stroke:var(--quiet);stroke-dasharray:3 3}
.cp text.cp-tooth-label{font-size:11.5px;font-weight:600}
.whose{display:flex;gap:28px;margin:2px 0 10px}
.am-tooth{stroke:#8d8a7e;stroke-width:1}.am-tint-0{fill:var(--tint-a)}.am-tint-1{fill:var(--tint-b)}
.am-unsized{stroke-dasharray:3 3}.am-fixed{stroke:var(--ink);stroke-width:2.4}
.am text.am-label{font-size:11px;font-weight:600;fill:var(--ink)}
.am-tick{stroke:#8d8a7e;stroke-width:1;fill:none}
.am-open .am-tick,.am-overlap .am-tick{stroke:var(--accent);stroke-width:3.2;stroke-linecap:round}
.am-undecided .am-tick{stroke:var(--accent);stroke-width:2;stroke-dasharray:2.5 2.5}
.am-bridged .am-tick,.am-closed .am-tick,.am-missing-tooth .am-tick{stroke:none}
.am-space{stroke:var(--accent);stroke-width:1.6;fill:none;stroke-linecap:round}.am-leader{stroke:var(--accent);stroke-width:1;fill:none}
.am text.am-value{font-size:12.5px;font-weight:700;fill:var(--accent)}
.am .am-undecided text.am-value{font-weight:500}
.am text.am-side,.am text.am-scale-label{font-size:10.5px;fill:var(--quiet)}
.am-scale{stroke:var(--quiet);fill:none;stroke-width:1}
.am-motion .am-shaft{fill:none;stroke:var(--accent);stroke-width:1.7;stroke-linecap:round}.am-head{fill:var(--accent)}.am-turn{fill:none;stroke:var(--quiet);stroke-width:1.2}.am-turn-head{fill:var(--quiet)}
.plan-view{display:grid;grid-template-columns:minmax(0,390px) minmax(0,1fr);gap:22px;align-items:center;margin:14px 0;break-inside:avoid}
.sp-frame{fill:#fffefb;stroke:var(--rule)}
.sp-body.sp-A{fill:var(--tint-a)}.sp-body.sp-B{fill:var(--tint-b)}
.sp-gum{fill:var(--gum)}.sp-gum-line{fill:none;stroke:var(--gum-line);stroke-width:1.5}
.sp-wall{fill:none;stroke:var(--ink);stroke-width:1.7;stroke-linejoin:round;stroke-linecap:round}
.sp-fit{fill:none;stroke:var(--accent);stroke-opacity:.28;stroke-width:7;stroke-linecap:butt}
.sp-witness{fill:none;stroke:var(--accent);stroke-width:.8}
.sp-arrows{fill:none;stroke:var(--accent);stroke-width:1.4;stroke-linejoin:round;stroke-linecap:round}
.sp-distance{stroke:var(--accent);stroke-width:1.6}
.sp-point{fill:#fffefb;stroke:var(--accent);stroke-width:1.8}
.sp-lens{fill:none;stroke:var(--accent);stroke-width:1.1}
.sp text.sp-tooth{font-size:19px;font-weight:600;fill:#6d6f68}
.sp text.sp-value{font-size:13.5px;font-weight:700;fill:var(--accent);paint-order:stroke;stroke:#fffefb;stroke-width:5px;stroke-linejoin:round}
.sp text.sp-caption{font-size:10.5px;fill:var(--quiet);paint-order:stroke;stroke:#fffefb;stroke-width:3px;stroke-linejoin:round}
.sp text.sp-gum-caption{fill:#7d4a3d;stroke:#f6ebe4}
.sp-scale{fill:none;stroke:var(--ink);stroke-width:1.2}
.sp text.sp-scale-label{font-size:10px;fill:var(--ink);paint-order:stroke;stroke:#fffefb;stroke-width:3px;stroke-linejoin:round}
@media (max-width:700px){body{padding:22px 14px}body .pair,body .cut{grid-template-columns:minmax(0,1fr)}body .walls{grid-template-columns:repeat(2,minmax(0,1fr))}.wall-legend{grid-column:1/-1}body .effects{grid-template-columns:repeat(3,1fr)}.top{flex-wrap:wrap;gap:2px 18px}.answer h1{font-size:22px}.sign{gap:18px}.scroll{overflow-x:auto}}
@page{margin:14mm 14mm 17mm}
@media print{
html{font-size:10.2pt;background:#fff;-webkit-print-color-adjust:exact;print-color-adjust:exact;--ground:#fff}
body{max-width:none;padding:0}
h1{font-size:19pt}.answer .second{font-size:13pt}
table,.facts{font-size:8.6pt}.spans{font-size:8pt}th{font-size:7.8pt}.remark,.legend{font-size:7.8pt}
td{padding:3.2px 6px}
section{margin-top:6mm}section.first{margin-top:3mm}.answer{margin-top:4mm}.answer ul{margin-top:2mm;font-size:9pt}.pair{margin-top:0}
h2,h3,caption,h2+.remark{break-after:avoid}
tr,.cut,figure,.letter,.cautions,.keep,.spans,.effects{break-inside:avoid}.keep .scroll{overflow:visible}
thead{display:table-header-group}
.cut{grid-template-columns:minmax(0,1fr) 54mm;gap:6mm;padding:3mm 0}.cut.with-walls{grid-template-columns:minmax(0,1fr) 62mm;gap:3mm 6mm}.cut.with-walls{padding:2mm 0}.walls{grid-template-columns:44mm 44mm minmax(0,1fr);gap:5mm}.wall svg.cm{max-height:48mm}.wall p{margin-top:.5mm}.wall p,.wall-legend{font-size:7.6pt}.cut dl,.budget{font-size:8pt;line-height:1.38}.cut .note{font-size:7.6pt;margin-top:1mm}.budget{margin-top:1mm}.answer-line{font-size:10.5pt}.reasons{font-size:9.2pt}.reasons.shorter{font-size:8pt}.rule-of-thumb{font-size:9.2pt}.letter{font-size:8.6pt}caption{font-size:8.6pt}
}
`;
