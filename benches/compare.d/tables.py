"""The tables that are printed and kept."""


def figure(x):
    size = abs(x)
    return f"{x:.4f}" if size < 0.1 else f"{x:.3f}" if size < 1 else f"{x:.2f}" if size < 10 else f"{x:.1f}"


def of_targets(targets, medians, quick):
    lines = ["| case | measure | must | aim | got | |", "| --- | --- | ---: | ---: | ---: | --- |"]
    tally = {}
    for t in targets:
        sign = ">=" if t.at_least else "<="
        limit = lambda x: "" if x is None else f"{sign} {x:g} {t.unit}"
        if all(case in medians for case in t.needs):
            value = t.got(medians)
            got, judged = f"{figure(value)} {t.unit}", "quick" if quick else t.judged(value)
        else:
            got, judged = "", "not run"
        tally[judged] = tally.get(judged, 0) + 1
        lines.append(f"| {t.case} | {t.what} | {limit(t.must)} | {limit(t.aim)} | {got} | {judged} |")
    words = ", ".join(f"{n} {what}" for what, n in sorted(tally.items()))
    return "\n".join([*lines, "", f"{words[0].upper()}{words[1:]}."])


def of_case(name, tools, medians):
    reference = next((m for tool, m in medians.items() if tool.startswith("rimsieve")), None)
    lines = [f"### {name}", "", "| command | wall, s | least..most | processor, s | peak, MiB | written, MB | runs | wall / rimsieve's |",
             "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"]
    for tool, m in sorted(medians.items(), key=lambda kept: kept[1].wall):
        written = f"{m.written / 1e6:.1f}" if m.written else ""
        lines.append(f"| {tool} | {figure(m.wall)} | {figure(m.least)}..{figure(m.most)} | {figure(m.cpu)} | {m.peak:.0f} | {written} | {m.runs} | "
                     f"{m.wall / reference.wall:.2f} |")
    return "\n".join(lines)
