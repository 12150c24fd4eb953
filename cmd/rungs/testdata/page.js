// Functions for the tests of pages.
const seen = e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height > 0 };
// marks of a kind (all without one) in the charts that are shown
const marks = kind => [...document.querySelectorAll('svg .mark' + (kind ? '.' + kind : ''))].filter(m => seen(m.querySelector('.hit')));
// the middle of a mark, scrolled into view
const placeOf = i => {
  const hit = marks('')[i].querySelector('.hit');
  hit.scrollIntoView({block: 'center', behavior: 'instant'});
  const r = hit.getBoundingClientRect();
  return {X: r.x + r.width / 2, Y: r.y + r.height / 2};
};
// the text alternative of a mark, and all readings that are open
const tipOf = i => ({
  Label: marks('')[i].getAttribute('aria-label'),
  Shown: marks('').map(m => m.querySelector('.tip')).filter(t => getComputedStyle(t).visibility == 'visible')
    .map(t => [...t.querySelectorAll('text')].map(x => x.textContent).join('\n')),
});
const stops = () => [...document.querySelectorAll('[tabindex="0"],a[href]')].filter(e => seen(e.querySelector('.hit') || e)).length;
const focused = () => marks('').indexOf(document.activeElement);
const named = e => e.getAttribute('aria-label') || (document.getElementById(e.getAttribute('aria-labelledby')) || document.body).getAttribute('aria-label') || '';
const silentCharts = () => [...document.querySelectorAll('svg.chart')].filter(seen)
  .filter(s => !named(s.querySelector('g[role=img]')).match(/\w+ \w+/) || !s.getAttribute('aria-label')).map(s => s.id);
const smallText = (least = 11) => [...document.querySelectorAll('p,td,th,dt,dd,li,svg text')].filter(e => seen(e) && e.textContent.trim())
  .filter(e => {
    const svg = e.closest('svg');
    const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    return parseFloat(getComputedStyle(e).fontSize) * scale < least;
  }).length;
// texts of charts, those of marks among them, that reach beyond their chart
const spilt = () => [...document.querySelectorAll('svg.chart text')].filter(seen).filter(e => {
  const t = e.getBoundingClientRect(), c = e.closest('svg').getBoundingClientRect();
  return t.left < c.left - 2 || t.right > c.right + 2;
}).map(e => e.textContent);
const cutOff = () => [...document.querySelectorAll('table,svg.chart,h1,dl')].filter(seen)
  .filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.textContent.slice(0, 40));
// WCAG 2.2: relative luminance of an sRGB colour, and contrast ratio
const luminance = rgb => {
  const [r, g, b] = rgb.map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (a, b) => {
  const [dark, light] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
};
const colour = s => { const n = s.match(/[\d.]+/g).map(Number); return {rgb: n.slice(0, 3), alpha: n.length > 3 ? n[3] : 1} };
const over = (ground, c, alpha) => ground.map((v, i) => v * (1 - alpha) + c[i] * alpha);
// the ground of a text: what is painted behind its middle, from back to front
const ground = e => {
  let g = [255, 255, 255];
  const r = e.getBoundingClientRect();
  const x = r.x + r.width / 2, y = r.y + r.height / 2;
  const chain = [];
  for (let p = e; p; p = p.parentElement) chain.unshift(p);
  for (const p of chain) {
    const c = colour(getComputedStyle(p).backgroundColor);
    g = over(g, c.rgb, c.alpha);
  }
  const svg = e.closest('svg');
  if (svg) for (const s of svg.querySelectorAll('path.f,path.w,use.t,.tip rect,rect.paper')) {
    if (!(s.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING)) continue;
    if (getComputedStyle(s).visibility != 'visible') continue;
    const b = s.getBoundingClientRect();
    if (x < b.left || x > b.right || y < b.top || y > b.bottom) continue;
    const area = s.tagName == 'use' ? svg.querySelector(s.getAttribute('href')) : s;
    if (!area.isPointInFill(new DOMPoint(x, y).matrixTransform(svg.getScreenCTM().inverse()))) continue;
    const style = getComputedStyle(s);
    g = over(g, colour(style.fill).rgb, parseFloat(style.fillOpacity));
  }
  return g;
};
const contrasts = least => {
  const texts = [], low = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !seen(e) || e.closest('.skip')) continue;
    const style = getComputedStyle(e);
    const ratio = contrast(colour(e.closest('svg') ? style.fill : style.color).rgb, ground(e));
    texts.push(e);
    if (ratio < least) low.push({Text: e.textContent.slice(0, 60), Ratio: ratio});
  }
  return {Texts: texts.length, Low: low};
};
// texts of charts that overlap each other, but for those of marks and hints, which
// take turns; glyphs are lower than their boxes
const collisions = () => [...document.querySelectorAll('svg.chart')].filter(seen).flatMap(svg => {
  const t = [...svg.querySelectorAll('text')].filter(e => !e.closest('.tip') && !e.classList.contains('hint')).map(e => [e.textContent, e.getBoundingClientRect()]);
  return t.flatMap(([a, r], i) => t.slice(i + 1).filter(([b, q]) =>
    r.left < q.right - 1 && q.left < r.right - 1 && r.top + 3 < q.bottom - 3 && q.top + 3 < r.bottom - 3).map(([b]) => a + ' | ' + b));
});
// marks and what else can be tapped that are narrower or lower than so many px in
// the layout
const smallTargets = least => [...document.querySelectorAll('svg .mark .hit')].filter(seen).filter(e => parseFloat(e.getAttribute('width')) < least - 0.1)
  .map(e => e.parentElement.getAttribute('aria-label')).concat(
  [...document.querySelectorAll('summary,a[href]:not(.skip)')].filter(seen).filter(e => e.getBoundingClientRect().height < least - 0.1).map(e => e.textContent));
// marks whose reading lies upon what it tells of
const coveredPanels = () => marks('').filter(m => {
  const hit = m.querySelector('.hit'), tip = m.querySelector('.tip rect');
  return parseFloat(tip.getAttribute('y')) + parseFloat(tip.getAttribute('height')) > parseFloat(hit.getAttribute('y')) + 1;
}).map(m => m.getAttribute('aria-label'));
// where the first picture begins, from the top of the page
const pictureTop = () => { const f = document.querySelector('figure'); return f ? f.getBoundingClientRect().top + window.scrollY : 0 };
// what keeps people out who hear the page or use its keys: WCAG 2.2 (W3C Recommendation,
// 2023), success criteria 1.1.1, 1.3.1, 2.4.1, 2.4.4, 2.4.6, 3.1.1 and 4.1.2
const barriers = () => {
  const found = [], all = s => [...document.querySelectorAll(s)], text = e => (named(e) || e.textContent).trim();
  if (!document.documentElement.lang) found.push('the page has no language');
  if (!document.title.trim()) found.push('the page has no title');
  if (all('main').length != 1) found.push(all('main').length + ' main parts');
  if (all('h1').filter(seen).length < 1) found.push('no first heading');
  let level = 0;
  for (const h of all('h1,h2,h3,h4').filter(seen)) {
    const n = Number(h.tagName[1]);
    if (n > level + 1 && level > 0) found.push('a level is left out before ' + text(h));
    if (!text(h)) found.push('an empty heading');
    level = n;
  }
  for (const t of all('th')) {
    if (!text(t)) found.push('an empty head in ' + t.closest('table').rows[0].textContent);
    if (!t.getAttribute('scope')) found.push('a head without a scope: ' + text(t));
  }
  for (const t of all('table')) {
    const wide = Math.max(...[...t.rows].map(r => r.cells.length));
    if ([...t.rows].some(r => r.cells.length != wide)) found.push('rows of different lengths: ' + t.rows[0].textContent);
  }
  const names = new Map();
  for (const e of all('nav,[role=region],section[aria-label],form').filter(seen)) {
    const name = (e.getAttribute('aria-label') || '').trim();
    if (!name) found.push('a part without a name: ' + e.outerHTML.slice(0, 60));
    else if (names.has(name)) found.push('two parts of one name: ' + name);
    names.set(name, e);
  }
  for (const e of all('a[href],summary,[role=img],[tabindex="0"]').filter(e => seen(e.querySelector('.hit') || e))) {
    if (!text(e)) found.push('nothing says what this is: ' + e.outerHTML.slice(0, 80));
    if (e.tabIndex > 0) found.push('an order of its own: ' + e.outerHTML.slice(0, 80));
  }
  for (const a of all('a[href^="#"]')) if (!document.querySelector(a.getAttribute('href'))) found.push('leads nowhere: ' + a.getAttribute('href'));
  const ids = all('[id]').map(e => e.id);
  for (const id of new Set(ids.filter((x, i) => ids.indexOf(x) != i))) found.push('two parts have the id ' + id);
  for (const d of all('dl')) for (const c of d.children) if (c.tagName == 'DIV' ? ![...c.children].every(x => /^D[TD]$/.test(x.tagName)) : !/^D[TD]$/.test(c.tagName)) found.push('a list with ' + c.tagName);
  for (const l of all('ul,ol')) for (const c of l.children) if (c.tagName != 'LI') found.push('a list with ' + c.tagName);
  return found;
};
// lines of text outside pictures, each with its place and its element
const lines = () => {
  const list = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, e = node.parentElement;
    if (!node.textContent.trim() || e.closest('svg,.skip,style') || !e.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects()) if (r.width > 0) list.push({text: node.textContent.trim().slice(0, 40), node, e, r});
  }
  return list;
};
// where a picture draws: without the room of readings, of which there are none on paper
const drawn = svg => {
  const all = [...svg.querySelectorAll('g[role=img]:not(.mark) > *:not([clip-path])')].map(e => e.getBoundingClientRect()).filter(r => r.width + r.height > 0);
  const left = Math.min(...all.map(r => r.left)), top = Math.min(...all.map(r => r.top)), right = Math.max(...all.map(r => r.right)), bottom = Math.max(...all.map(r => r.bottom));
  return {left, top, right, bottom};
};
// lines of text, and pictures, that lie upon each other; letters are lower than their boxes
const piled = texts => {
  const all = texts.concat([...document.querySelectorAll('svg.chart')].filter(seen).map(e => ({text: 'picture ' + e.id, node: e, e, r: drawn(e)})));
  all.sort((a, b) => a.r.top - b.r.top);
  const found = [];
  all.forEach((a, i) => {
    for (let k = i + 1; k < all.length && all[k].r.top < a.r.bottom - 4; k++) {
      const b = all[k];
      if (a.node != b.node && a.r.left < b.r.right - 1 && b.r.left < a.r.right - 1 && a.r.top + 4 < b.r.bottom - 4 && b.r.top + 4 < a.r.bottom - 4)
        found.push(a.text + ' | ' + b.text);
    }
  });
  return found;
};
// lines of text that reach beyond the page, and boxes whose contents are wider than they are
const clipped = (width, texts) => texts.filter(x => x.r.left < -0.5 || x.r.right > width + 0.5).map(x => 'beyond the page: ' + x.text).concat(
  [...document.querySelectorAll('.scroll,h1,p,dd,dt,li')].filter(e => e.checkVisibility() && e.scrollWidth > e.clientWidth + 1 && !(e.tagName != 'DIV' && getComputedStyle(e).display == 'inline'))
    .map(e => 'wider than its box by ' + (e.scrollWidth - e.clientWidth) + ' px: ' + e.textContent.trim().slice(0, 40)));
// everything amiss in the layout at a width; everything is open but the folds of tables, of which one is, with a fold above 0
const faults = (width, phone, fold) => {
  document.querySelectorAll('details').forEach(d => d.open = fold > 0 && (!d.classList.contains('rest') || d.classList.contains('f' + fold)));
  const all = (what, list) => list.slice(0, 5).map(x => what + ': ' + x);
  const wide = document.documentElement.scrollWidth, texts = lines();
  return [].concat(wide > width ? ['the page is ' + wide + ' px wide'] : [], all('texts beyond their picture', spilt()), all('texts of a picture overlap', collisions()),
    all('overlap', piled(texts)), all('clipped', clipped(width, texts)), all('wider than the page', cutOff()),
    phone ? all('too small to be touched', smallTargets(44)).concat(all('a reading covers its figure', coveredPanels()), smallText(width < 360 ? 10 : 11) ? ['small texts'] : []) : []);
};
