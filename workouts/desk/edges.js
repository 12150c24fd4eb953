// The edges of reps, moved by pointer or by arrow keys. The fields of the form are the truth:
// the picture is drawn from them and writes into them; the desk works out all figures.
"use strict"

const edges = {
  section: document.getElementById("edges"),
  reps: [], // { from, to }, s
  trace: null,
  chosen: null, // { rep, end: "from" or "to" }
  first: "", // the fields as they were
  before: "", // the reps in them
}

const SVG = "http://www.w3.org/2000/svg"
const GRIP = matchMedia("(pointer: coarse)").matches ? 22 : 9 // px on either side of an edge that take hold of it
const CLOSE = 60 // s on either side of the chosen edge in the close-up
const LEAST = 2 // s of the shortest rep, as the log has it

function make(name, attributes, parent) {
  const e = document.createElementNS(SVG, name)
  for (const k in attributes) e.setAttribute(k, attributes[k])
  if (parent) parent.append(e)
  return e
}

// clock writes seconds as the log does: 15:02 or 1:02:03.5
function clock(s) {
  const n = Math.round(10 * s)
  const two = (x) => String(x).padStart(2, "0")
  let text = Math.floor(n / 600) + ":" + two(Math.floor(n / 10) % 60)
  if (n >= 36000) text = Math.floor(n / 36000) + ":" + two(Math.floor(n / 600) % 60) + ":" + two(Math.floor(n / 10) % 60)
  return n % 10 ? text + "." + (n % 10) : text
}

// seconds reads what clock writes; NaN when it is none.
function seconds(text) {
  const m = /^(?:(\d+):)?(\d+):(\d\d(?:\.\d)?)$/.exec(text.trim())
  return m ? Number(m[1] || 0) * 3600 + Number(m[2]) * 60 + Number(m[3]) : NaN
}

// read takes the reps from the fields.
function read() {
  edges.reps = []
  for (const row of edges.section.querySelectorAll(".times li")) {
    const [from, to] = [...row.querySelectorAll("input")].map((i) => seconds(i.value))
    if (from >= 0 && to > from) edges.reps.push({ from, to })
  }
}

// write puts the reps into the fields, and makes or empties rows.
function write() {
  const list = edges.section.querySelector(".times")
  while (list.children.length < edges.reps.length + 2) list.append(list.lastElementChild.cloneNode(true))
  ;[...list.children].forEach((row, i) => {
    const [from, to] = row.querySelectorAll("input")
    const r = edges.reps[i]
    from.value = r ? clock(r.from) : ""
    to.value = r ? clock(r.to) : ""
  })
  edges.section.querySelector("form").dataset.touched = "yes"
}

// fields is what the form would post of the reps.
function fields() {
  return new URLSearchParams(new FormData(edges.section.querySelector("form"))).toString()
}

// state tells reps apart.
const state = () => JSON.stringify(edges.reps)

// Figures follow: one question at a time, the last one counts.
let asking = false
let again = false
async function follow() {
  if (asking) {
    again = true
    return
  }
  asking = true
  const wrong = document.getElementById("reps-wrong")
  try {
    const answer = await fetch("/session/" + edges.section.dataset.session + "/try", {
      method: "POST",
      headers: { Accept: "application/json", "Content-Type": "application/x-www-form-urlencoded" },
      body: fields(),
    })
    const parts = await answer.json()
    wrong.hidden = !parts.error
    if (parts.error) wrong.textContent = parts.error + " " + parts.todo
    else figures(parts)
  } catch {
    wrong.hidden = false
    wrong.textContent = "The desk does not answer, so the figures are those from before."
  }
  asking = false
  if (again) {
    again = false
    follow()
  }
}

function figures(parts) {
  document.getElementById("what").textContent = parts.what
  const table = document.getElementById("parts")
  const row = (cells, tag) => {
    const tr = document.createElement("tr")
    for (const text of cells) {
      const c = document.createElement(text || tag === "td" ? tag : "td")
      if (tag === "th" && text) c.scope = "col"
      c.textContent = text
      tr.append(c)
    }
    return tr
  }
  table.tHead.replaceChildren(row(parts.head, "th"))
  table.tBodies[0].replaceChildren(...parts.rows.map((cells) => row(cells, "td")))
}

// bounds are where an edge may go: between its neighbours.
function bounds(rep, end) {
  const r = edges.reps[rep]
  const before = rep > 0 ? edges.reps[rep - 1].to : 0
  const after = rep + 1 < edges.reps.length ? edges.reps[rep + 1].from : edges.trace.end_s
  return end === "from" ? [before, r.to - LEAST] : [r.from + LEAST, after]
}

function move(rep, end, to) {
  const [low, high] = bounds(rep, end)
  edges.reps[rep][end] = Math.round(10 * Math.min(Math.max(to, low), Math.floor(10 * high) / 10)) / 10
  changed()
}

function changed() {
  write()
  draw()
  follow()
}

function choose(rep, end) {
  edges.chosen = rep === null ? null : { rep, end }
  draw()
}

// panel draws the speed from one time to another, with the edges in it.
function panel(place, from, to, high, close) {
  const wide = Math.max(200, place.clientWidth)
  const focused = document.activeElement && place.contains(document.activeElement) ? document.activeElement.getAttribute("data-edge") : null
  const svg = make("svg", { viewBox: "0 0 " + wide + " " + high, class: "edges", role: "group", "aria-label": close ? "The chosen edge, close up" : "Edges of the reps" })
  const x = (t) => ((t - from) / (to - from)) * wide
  const bottom = high - 22
  const values = edges.trace.speed.length ? edges.trace.speed : edges.trace.heart
  const known = values.filter((v) => v !== null)
  const most = Math.max(1, ...known.slice(0, 20000)) * 1.08
  const least = edges.trace.speed.length ? 0 : Math.min(...known) * 0.9
  const y = (v) => bottom - ((v - least) / (most - least)) * (bottom - 8)
  edges.reps.forEach((r, i) => {
    if (r.to < from || r.from > to) return
    make("rect", { x: x(Math.max(r.from, from)), y: 4, width: Math.max(1, x(Math.min(r.to, to)) - x(Math.max(r.from, from))), height: bottom - 4, class: edges.chosen && edges.chosen.rep === i ? "rep chosen" : "rep" }, svg)
    const name = make("text", { x: x((Math.max(r.from, from) + Math.min(r.to, to)) / 2), y: 16, class: "name" }, svg)
    name.textContent = i + 1
  })
  const every = edges.trace.every_s
  const step = Math.max(1, Math.floor((to - from) / every / (2 * wide)))
  let path = ""
  let pen = "M"
  for (let k = Math.max(0, Math.floor(from / every)); k < values.length && k * every <= to + every; k += step) {
    if (values[k] === null) {
      pen = "M"
      continue
    }
    path += pen + x((k + 0.5) * every).toFixed(1) + " " + y(Math.max(values[k], least)).toFixed(1)
    pen = "L"
  }
  make("path", { d: path, class: "speed" }, svg)
  make("line", { x1: 0, x2: wide, y1: bottom, y2: bottom, class: "ground" }, svg)
  const tick = [10, 30, 60, 300, 600, 900, 1800, 3600].find((t) => (to - from) / t <= wide / 90) || 7200
  for (let t = Math.ceil(from / tick) * tick; t <= to; t += tick) {
    const label = make("text", { x: Math.min(Math.max(x(t), 18), wide - 22), y: high - 6, class: "tick" }, svg)
    label.textContent = clock(t)
  }
  edges.reps.forEach((r, i) => {
    for (const end of ["from", "to"]) {
      if (r[end] < from || r[end] > to) continue
      const chosen = edges.chosen && edges.chosen.rep === i && edges.chosen.end === end
      if (close && !chosen) continue
      const [first, last] = bounds(i, end)
      const g = make("g", {
        class: chosen ? "edge chosen" : "edge", tabindex: 0, role: "slider", "data-edge": i + end,
        "aria-label": (end === "from" ? "start" : "end") + " of rep " + (i + 1), "aria-valuemin": first.toFixed(1), "aria-valuemax": last.toFixed(1),
        "aria-valuenow": r[end].toFixed(1), "aria-valuetext": clock(r[end]),
      }, svg)
      const grip = close ? 24 : GRIP
      make("rect", { x: x(r[end]) - grip, y: 0, width: 2 * grip, height: bottom, class: "grip" }, g)
      make("line", { x1: x(r[end]), x2: x(r[end]), y1: 0, y2: bottom + 4, class: "line" }, g)
      g.addEventListener("focus", () => { if (!chosen) choose(i, end) })
      g.addEventListener("pointerdown", (e) => drag(e, place, i, end, from, to))
      g.addEventListener("keydown", (e) => key(e, i, end))
    }
  })
  place.replaceChildren(svg)
  if (focused !== null) {
    const g = svg.querySelector('[data-edge="' + focused + '"]')
    if (g) g.focus({ preventScroll: true })
  }
}

function draw() {
  const whole = edges.section.querySelector(".whole")
  const close = edges.section.querySelector(".close")
  panel(whole, 0, edges.trace.end_s, 190, false)
  const c = edges.chosen
  for (const b of ["split", "remove"]) edges.section.querySelector('[data-do="' + b + '"]').disabled = !c
  edges.section.querySelector('[data-do="back"]').disabled = state() === edges.before
  const name = document.getElementById("close-name")
  if (!c) {
    close.replaceChildren()
    name.textContent = ""
    return
  }
  const at = edges.reps[c.rep][c.end]
  name.textContent = (c.end === "from" ? "Start" : "End") + " of rep " + (c.rep + 1) + ", close up: " + clock(at)
  if (!edges.dragging) edges.close = Math.min(Math.max(at, CLOSE), Math.max(CLOSE, edges.trace.end_s - CLOSE))
  panel(close, edges.close - CLOSE, edges.close + CLOSE, 150, true)
}

function drag(e, place, rep, end, from, to) {
  e.preventDefault()
  const box = place.getBoundingClientRect()
  const time = (e) => from + ((e.clientX - box.left) / box.width) * (to - from)
  const off = edges.reps[rep][end] - time(e)
  choose(rep, end)
  edges.dragging = true
  const moved = (e) => move(rep, end, Math.round(time(e) + off))
  const done = () => {
    removeEventListener("pointermove", moved)
    removeEventListener("pointerup", done)
    removeEventListener("pointercancel", done)
    edges.dragging = false
    draw()
    const g = place.querySelector('[data-edge="' + rep + end + '"]')
    if (g) g.focus({ preventScroll: true })
  }
  addEventListener("pointermove", moved)
  addEventListener("pointerup", done)
  addEventListener("pointercancel", done)
}

function key(e, rep, end) {
  const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -30, PageUp: 30 }[e.key]
  if (by !== undefined) {
    e.preventDefault()
    move(rep, end, edges.reps[rep][end] + by * (e.shiftKey ? 10 : 1))
  } else if (e.key === "Delete") {
    e.preventDefault()
    remove()
  }
}

function remove() {
  if (!edges.chosen) return
  edges.reps.splice(edges.chosen.rep, 1)
  edges.chosen = null
  changed()
}

// split makes two reps of the chosen one, with ten seconds between them.
function split() {
  const r = edges.reps[edges.chosen.rep]
  const middle = Math.round((r.from + r.to) / 2)
  if (r.to - r.from < 20) return
  edges.reps.splice(edges.chosen.rep, 1, { from: r.from, to: middle - 5 }, { from: middle + 5, to: r.to })
  edges.chosen = { rep: edges.chosen.rep, end: "to" }
  changed()
}

// add puts a rep of a minute, or less, into the longest gap.
function add() {
  let best = [0, 0]
  let at = 0
  let place = 0
  for (let i = 0; i <= edges.reps.length; i++) {
    const to = i < edges.reps.length ? edges.reps[i].from : edges.trace.end_s
    if (to - at > best[1] - best[0]) {
      best = [at, to]
      place = i
    }
    at = i < edges.reps.length ? edges.reps[i].to : at
  }
  const middle = Math.round((best[0] + best[1]) / 2)
  const half = Math.min(30, Math.floor((best[1] - best[0]) / 4))
  if (half < 1) return
  edges.reps.splice(place, 0, { from: middle - half, to: middle + half })
  edges.chosen = { rep: place, end: "from" }
  changed()
}

function back() {
  const was = new URLSearchParams(edges.first)
  for (const name of ["from", "to"]) {
    const values = was.getAll(name)
    edges.section.querySelectorAll('.times [name="' + name + '"]').forEach((field, i) => { field.value = values[i] || "" })
  }
  delete edges.section.querySelector("form").dataset.touched
  edges.chosen = null
  read()
  draw()
  follow()
}

async function begin() {
  read()
  edges.first = fields()
  edges.before = state()
  edges.trace = await ask("/session/" + edges.section.dataset.session + "/trace")
  if (edges.trace.error || !(edges.trace.speed.length || edges.trace.heart.length)) return
  edges.section.querySelector(".picture").hidden = false
  edges.section.querySelector(".scripted").hidden = false
  edges.section.querySelector("form details").open = false
  edges.section.querySelector(".picture").addEventListener("click", (e) => {
    const job = { add, split, remove, back }[e.target.dataset.do]
    if (job) job()
  })
  edges.section.querySelector(".times").addEventListener("input", () => {
    read()
    edges.chosen = null
    draw()
    follow()
  })
  // A reading that is chosen is looked at first.
  for (const radio of document.querySelectorAll("#readings [data-reps]")) {
    radio.addEventListener("change", () => {
      edges.reps = radio.dataset.reps === "none" ? [] : radio.dataset.reps.split(" ").map((r) => {
        const [from, to] = r.split("-").map(seconds)
        return { from, to }
      })
      edges.chosen = null
      changed()
    })
  }
  // What is said is saved by a form of its own, after which the page is shown anew.
  document.querySelector("#said form").addEventListener("submit", (e) => {
    if (state() !== edges.before && !confirm("The reps that you moved are not saved. Save what you say and leave the reps as they were?")) e.preventDefault()
  })
  draw()
  addEventListener("resize", draw)
}

if (edges.section) begin()
