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

// Mistakes in the notation are shown as it is typed.
for (const field of document.querySelectorAll("[data-look]")) {
  const place = document.getElementById(field.getAttribute("aria-describedby"))
  let last = 0
  field.addEventListener("input", async () => {
    const mine = ++last
    try {
      const x = await ask("/look", { text: field.value })
      if (mine !== last) return
      place.replaceChildren()
      for (const wrong of x.wrong) {
        const pre = document.createElement("pre")
        pre.className = "caret"
        pre.textContent = wrong
        place.append(pre)
      }
      if (x.text) {
        const p = document.createElement("p")
        p.className = "note"
        p.textContent = x.text
        place.append(p)
      }
      field.setAttribute("aria-invalid", x.wrong.length > 0)
    } catch {
      place.textContent = ""
    }
  })
}

// Recordings may be dropped onto any page.
const holdsFiles = (e) => e.dataTransfer && [...e.dataTransfer.types].includes("Files")
addEventListener("dragover", (e) => {
  if (!holdsFiles(e)) return
  e.preventDefault()
  document.documentElement.classList.add("dropping")
})
addEventListener("dragleave", (e) => {
  if (!e.relatedTarget) document.documentElement.classList.remove("dropping")
})
addEventListener("drop", async (e) => {
  document.documentElement.classList.remove("dropping")
  if (!holdsFiles(e)) return
  e.preventDefault()
  const files = new FormData()
  for (const f of e.dataTransfer.files) files.append("files", f)
  const said = []
  try {
    const answer = await fetch("/new", { method: "POST", body: files, headers: { Accept: "application/json" } })
    const all = await answer.json()
    if (all.error) said.push([all.error + " " + all.todo, false])
    else for (const x of all || []) said.push([x.name + " " + x.what, x.kept])
  } catch {
    said.push(["The desk does not answer; the recordings are not kept.", false])
  }
  sessionStorage.setItem("dropped", JSON.stringify(said)) // the page is shown anew when they were read
  tell(said)
})

function tell(said) {
  const list = document.createElement("ul")
  list.className = "plain"
  for (const [text, kept] of said) {
    const li = document.createElement("li")
    li.textContent = text
    if (!kept) li.className = "alert"
    list.append(li)
  }
  const place = document.getElementById("dropped") || document.getElementById("said-dropped")
  if (place) place.replaceChildren(list)
}

const said = sessionStorage.getItem("dropped")
if (said) {
  sessionStorage.removeItem("dropped")
  tell(JSON.parse(said))
}
