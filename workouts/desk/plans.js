// What the pages of plans do beyond their forms: a plan is shown as it is typed, and sessions
// of the block are dragged. Every page does all but the dragging without this.
"use strict"

const typed = document.getElementById("text")
const told = document.getElementById("told")
if (typed && told) live()

// live shows what a plan comes to while it is typed. Answers that come late are dropped.
function live() {
  const spoken = document.getElementById("spoken")
  document.getElementById("look").hidden = true
  let asked = 0
  let soon = 0
  async function look() {
    const mine = ++asked
    try {
      const x = await ask("/plan/look", { text: typed.value })
      if (mine !== asked) return
      told.innerHTML = x.told
      const wrong = x.plan.mistakes.length
      typed.setAttribute("aria-invalid", wrong > 0)
      spoken.textContent = wrong === 0 ? x.plan.said : wrong === 1 ? "1 mistake" : wrong + " mistakes"
      mark()
    } catch {
      if (mine === asked) spoken.textContent = ""
    }
  }
  // A mistake has a button that puts the cursor on it.
  function mark() {
    for (const li of told.querySelectorAll("li[data-from]")) {
      const go = document.createElement("button")
      go.type = "button"
      go.textContent = "Go there"
      go.onclick = () => {
        typed.focus()
        typed.setSelectionRange(Number(li.dataset.from), Math.max(Number(li.dataset.to), Number(li.dataset.from)))
      }
      li.append(go)
    }
  }
  typed.addEventListener("input", () => {
    clearTimeout(soon)
    soon = setTimeout(look, 80)
  })
  mark()
}

const print = document.getElementById("print")
if (print) {
  print.hidden = false
  print.onclick = () => window.print()
}

const dragged = document.getElementById("dragged")
if (dragged) drag()

// drag lets sessions be dragged to other days, and workouts onto days. What is dropped is
// posted as the forms of the page do it.
function drag() {
  document.getElementById("tray").hidden = false
  let carried = null
  addEventListener("dragstart", (e) => {
    carried = e.target.closest && e.target.closest("[draggable]")
    if (!carried) return
    e.dataTransfer.effectAllowed = "move"
    e.dataTransfer.setData("text/plain", carried.textContent.trim())
  })
  addEventListener("dragend", () => {
    carried = null
    for (const x of document.querySelectorAll(".over")) x.classList.remove("over")
  })
  for (const day of document.querySelectorAll(".day")) {
    day.addEventListener("dragover", (e) => {
      if (!carried) return
      e.preventDefault()
      day.classList.add("over")
    })
    day.addEventListener("dragleave", (e) => {
      if (!day.contains(e.relatedTarget)) day.classList.remove("over")
    })
    day.addEventListener("drop", (e) => {
      if (!carried) return
      e.preventDefault()
      drop(carried, day.dataset.day)
    })
  }
  function drop(what, on) {
    const fields = dragged.elements
    if (what.dataset.workout) {
      dragged.action = "/block/put"
      fields.workout.value = what.dataset.workout
      fields.day.value = on
    } else if (what.dataset.day !== on) {
      dragged.action = "/block/move"
      fields.day.value = what.dataset.day
      fields.index.value = what.dataset.index
      fields.to.value = on
    } else {
      return
    }
    dragged.submit()
  }
}
