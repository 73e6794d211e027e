// Counts the actions of a journey and turns them into seconds by the keystroke-level model
// (Card, Moran and Newell, "The keystroke-level model for user performance time with
// interactive systems", Communications of the ACM 23, 1980, 396–410): a key 0.2 s, pointing
// 1.1 s, hands from keyboard to mouse or back 0.4 s, thinking before a unit 1.35 s.
const seconds = { key: 0.2, point: 1.1, hand: 0.4, think: 1.35 };

/** counting drives a page and counts: keys typed, places pointed at, thoughts. */
export function counting(page) {
  const n = { key: 0, point: 0, hand: 0, think: 0 };
  return {
    /** key presses a key, after a thought where it begins something new. */
    async key(k, think = false) {
      n.key++;
      if (think) n.think++;
      await page.keyboard.press(k);
    },
    /** type types a text after a thought. */
    async type(text) {
      n.think++;
      n.key += text.length;
      await page.keyboard.type(text);
    },
    /** tap points at something and presses it. */
    async tap(locator) {
      n.point++;
      n.key++;
      n.think++;
      await locator.click();
    },
    said(text) { // dictated or pasted: no key of the hand
      return text;
    },
    get actions() {
      return n.key + n.point;
    },
    get seconds() {
      return Object.entries(n).reduce((sum, [what, times]) => sum + times * seconds[what], 0);
    },
  };
}
