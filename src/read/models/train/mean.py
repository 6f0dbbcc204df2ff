"""python3 mean.py BEFORE.pt AFTER.pt SHARE TO.pt: weights between two checkpoints of one line of training, SHARE of the second."""
import sys
import torch

if __name__ == '__main__':
    before, after = (torch.load(f, map_location='cpu') for f in sys.argv[1:3]); share = float(sys.argv[3])
    torch.save({k: (1 - share) * before[k] + share * after[k] for k in after}, sys.argv[4])
