// Saves files that Python sends, each once. A file is sent with every run of the page for a while,
// so that no run can lose it; which are saved is kept with the window, for scripts come and go.
export default function ({ data }) {
  const saved = (window.stationflowSaved ??= new Set());
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
}
