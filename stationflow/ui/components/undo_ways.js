// Which way a pressed key leads, and whether it is a text's own: put before the scripts that hear it.
const NO_TEXT = "[type=checkbox], [type=radio], [type=button], [type=range], [type=file]";

function wayOf(event) {
  // Alt was the key once: pressed from habit it must not type into a cell either.
  if ((event.ctrlKey || event.metaKey) === event.altKey) return "";
  const isLatin = /^[a-z]$/i.test(event.key);
  const letter = isLatin ? event.key.toLowerCase() : { KeyZ: "z", KeyY: "y" }[event.code];
  if (letter === "z") return event.shiftKey ? "redo" : "undo";
  return letter === "y" && !event.shiftKey ? "redo" : "";
}

function isText(element) {
  return element.isContentEditable || element.matches?.(`textarea, input:not(${NO_TEXT})`);
}
