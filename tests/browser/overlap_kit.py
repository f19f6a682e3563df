"""Words that lie on other words, on screen and in charts."""

_PAIRS = """() => {
  const main = document.querySelector('[data-testid=stMain]');
  const shown = (one) => one.checkVisibility({opacityProperty: true, visibilityProperty: true});
  const turned = (one) => {  // the corners of a drawn word, whichever way it is turned
    const box = one.getBBox(), to = one.getScreenCTM();
    return [[0, 0], [1, 0], [1, 1], [0, 1]].map(([across, down]) => {
      const x = box.x + across * box.width, y = box.y + down * box.height;
      return [to.a * x + to.c * y + to.e, to.b * x + to.d * y + to.f];
    });
  };
  const words = [];
  for (const one of main.querySelectorAll('svg text')) {
    if (one.textContent.trim() && shown(one) && !one.closest('.hoverlayer, .modebar')) {
      words.push({text: one.textContent.trim(), owner: one, box: turned(one)});
    }
  }
  const walk = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const owner = walk.currentNode.parentElement, range = document.createRange();
    if (!walk.currentNode.textContent.trim() || owner.closest('svg, style, script')) continue;
    if (!shown(owner)) continue;
    range.selectNodeContents(walk.currentNode);
    for (const line of range.getClientRects()) {
      if (line.width < 2 || line.height < 2) continue;
      const box = [[line.left, line.top], [line.right, line.top],
                   [line.right, line.bottom], [line.left, line.bottom]];
      words.push({text: walk.currentNode.textContent.trim(), owner, box});
    }
  }
  const part = (from, to, share) => from.map((value, i) => value + share * (to[i] - value));
  for (const word of words) {  // lines touch, letters do not
    const [a, b, c, d] = word.box;
    word.box = [part(a, d, 0.2), part(b, c, 0.2), part(b, c, 0.8), part(a, d, 0.8)];
  }
  const apart = (one, other) => [one, other].some((box) => box.some(([x, y], i) => {
    const [p, q] = box[(i + 1) % 4], length = Math.hypot(q - y, x - p) || 1;
    const along = (of) => of.map(([u, v]) => (u * (q - y) + v * (x - p)) / length);
    const [mine, its] = [along(one), along(other)];
    return Math.max(...mine) <= Math.min(...its) + 1 || Math.max(...its) <= Math.min(...mine) + 1;
  }));
  const found = [];
  words.forEach((one, i) => words.slice(i + 1).forEach((other) => {
    if (one.owner !== other.owner && !apart(one.box, other.box)) {
      found.push(`${one.text.slice(0, 80)} | ${other.text.slice(0, 80)}`);
    }
  }));
  return {words: words.length, found};
}"""


def overlaps(page) -> list[str]:
    """Pairs of words of the page's body that lie on each other by more than a pixel."""
    seen = page.evaluate(_PAIRS)
    assert seen["words"] > 5, "nothing is written on the page yet"
    return seen["found"]
