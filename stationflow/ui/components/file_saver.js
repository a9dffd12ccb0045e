// Saves files that Python sends, each once, and tells which are saved. A file is sent again with
// every run of the page until that was heard, so that no run can lose it.
const saved = new Set();

export default function ({ data, setTriggerValue }) {
  for (const file of data.files) {
    if (saved.has(file.id)) continue;
    saved.add(file.id);
    const bytes = Uint8Array.from(atob(file.content), (letter) => letter.charCodeAt(0));
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([bytes], { type: file.mime }));
    link.download = file.name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  }
  if (data.files.length) setTriggerValue("saved", data.files.map((file) => file.id));
}
