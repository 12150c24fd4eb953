// What pointing needs; every page can be read and used without it.
"use strict"

// ask posts fields, or gets without any, and gives the object that the desk answers with.
async function ask(path, fields) {
  const how = { headers: { Accept: "application/json" } }
  if (fields) {
    how.method = "POST"
    how.body = new URLSearchParams(fields)
  }
  const answer = await fetch(path, how)
  return answer.json()
}

// News: how far the reading of files is, and whether there is more than the page shows.
async function news() {
  const place = document.getElementById("news")
  const shown = Number(document.body.dataset.serial)
  let pause = 1000
  try {
    const n = await ask("/news")
    place.replaceChildren()
    if (n.of > 0) {
      pause = 300
      const bar = document.createElement("progress")
      bar.max = n.of
      bar.value = n.done
      bar.setAttribute("aria-label", "reading recordings")
      const words = document.createElement("p")
      words.className = "note"
      words.textContent = n.done + " of " + n.of + " files read"
      place.append(words, bar)
    } else if (n.serial !== shown) {
      const busy = document.querySelector("form[data-touched]")
      if (!busy) {
        location.reload()
        return
      }
      const words = document.createElement("p")
      words.className = "notice"
      words.textContent = "There are new recordings. They are shown when what you began is saved."
      place.append(words)
    }
  } catch {
    place.textContent = "The desk does not answer: the program was ended."
    pause = 3000
  }
  setTimeout(news, pause)
}

addEventListener("input", (e) => {
  const form = e.target.closest && e.target.closest("form")
  if (form) form.dataset.touched = "yes"
})

if (document.getElementById("news")) news()
