"""Posteriors of twelve random cases of causes and readings, by exact inference on a Bayesian network: pgmpy."""

import itertools
import logging
import random
import warnings

warnings.filterwarnings("ignore")

from pgmpy.factors.discrete import TabularCPD
from pgmpy.inference import VariableElimination
from pgmpy.models import DiscreteBayesianNetwork

logging.getLogger("pgmpy").setLevel(logging.ERROR)
print("# Causes with these odds, at least one and at most so many present. Readings by noisy-MAX, tables built by drawing what each cause "
      "and the background push to; the last one before the repair is seen with weights only. Then one cause is repaired, the repair takes "
      "with a probability, something is still wrong, and one more reading is taken. Before and after: the marginal of each cause. "
      "Variable elimination over the whole network; pgmpy 1.1.2.")
print("case,what,number,values")


def row(case, what, number, values):
    print(f"{case},{what},{number},{' '.join(repr(float(v)) for v in values)}")


def pushed(background, effects, present):
    """The distribution of the worst outcome, by going through everything that can be drawn."""
    total = [0.0] * len(background)
    draws = [background] + [effect for effect, there in zip(effects, present) if there]
    for drawn in itertools.product(range(len(background)), repeat=len(draws)):
        p = 1.0
        for outcome, distribution in zip(drawn, draws):
            p *= distribution[outcome]
        total[max(drawn)] += p
    return total


def distribution(dice, n, clean):
    """Mostly the first outcome for a background, mostly the others for a cause."""
    weights = [dice.uniform(0.02, 0.3) for _ in range(n)]
    weights[0 if clean else dice.randrange(1, n)] += 2.0
    return [w / sum(weights) for w in weights]


def table(parents, outcomes, column):
    columns = [column(present) for present in itertools.product([0, 1], repeat=len(parents))]
    return [[c[o] for c in columns] for o in range(outcomes)]


for case in range(12):
    dice = random.Random(9000 + case)
    causes, together = dice.randint(3, 6), dice.randint(1, 3)
    odds = [dice.uniform(0.02, 0.4) for _ in range(causes)]
    names = [f"C{i}" for i in range(causes)]
    cpds = [TabularCPD(name, 2, [[1 - p], [p]]) for name, p in zip(names, odds)]
    edges = []

    def add(name, states, parents, column):
        values = table(parents, states, column)
        cpds.append(TabularCPD(name, states, values, evidence=list(parents), evidence_card=[2] * len(parents)))
        edges.extend((parent, name) for parent in parents)

    row(case, "together", 0, [together])
    row(case, "odds", 0, odds)
    add("fits", 2, names, lambda there: [0, 1] if 1 <= sum(there) <= together else [1, 0])
    repaired, success = dice.randrange(causes), dice.uniform(0.7, 1.0)
    left = f"left{repaired}"
    after = [left if i == repaired else name for i, name in enumerate(names)]
    seen, weights = {"fits": 1}, []
    readings = dice.randint(3, 4)
    for reading in range(readings):
        n = dice.choice([2, 2, 3])
        background = distribution(dice, n, True)
        effects = [distribution(dice, n, False) if dice.random() < 0.5 else [1.0] + [0.0] * (n - 1) for _ in names]
        parents = after if reading == readings - 1 else names
        add(f"R{reading}", n, parents, lambda there: pushed(background, effects, there))
        row(case, "background", reading, background)
        for i, effect in enumerate(effects):
            row(case, "effect", reading * 100 + i, effect)
        if reading == readings - 2:
            weights = [dice.uniform(0.05, 1.0) for _ in range(n)]
            cpds.append(TabularCPD("soft", 2, [[1 - w for w in weights], weights], evidence=[f"R{reading}"], evidence_card=[n]))
            edges.append((f"R{reading}", "soft"))
            seen["soft"] = 1
            row(case, "weights", reading, weights)
        else:
            said = dice.randrange(n)
            seen[f"R{reading}"] = said
            row(case, "said", reading, [said])
    cpds.append(TabularCPD("takes", 2, [[1 - success], [success]]))
    # Columns: cause absent or present, the repair does not take or takes.
    cpds.append(TabularCPD(left, 2, [[1, 1, 0, 1], [0, 0, 1, 0]], evidence=[names[repaired], "takes"], evidence_card=[2, 2]))
    edges += [(names[repaired], left), ("takes", left)]
    add("wrong", 2, after, lambda there: [0, 1] if sum(there) else [1, 0])
    row(case, "repaired", 0, [repaired, success])

    network = DiscreteBayesianNetwork(edges)
    network.add_cpds(*cpds)
    network.check_model()
    asked = VariableElimination(network)

    def marginals(of, evidence):
        return [asked.query([name], evidence=evidence, show_progress=False).values[1] for name in of]

    last = f"R{readings - 1}"
    # Twelve digits: the last bits of a sum depend on the machine.
    before = marginals(names, {k: v for k, v in seen.items() if k != last})
    row(case, "before", 0, [round(p, 12) for p in before])
    row(case, "after", 0, [round(p, 12) for p in marginals(after, {**seen, "wrong": 1})])
